#include "geo/geography_key.h"

#include <fmt/format.h>
#include <gdal.h>
#include <proj.h>

#include <algorithm>

#include "geo/raster_stack.h"
#include "geo/remote.h"
#include "planner/base/problem.h"

namespace rickyard {
namespace {

// To be raised whenever the same sources would give another result, or a kept one is laid out otherwise.
constexpr int kLayout = 1;

constexpr std::array<std::string_view, 9> kWeather = {"rain", "tmin", "tmax", "tmean", "wind", "humidity", "radiation", "et0", "wet_days"};

std::string number(double value) { return fmt::format("{:a}", value); }
std::string number(const std::optional<double>& value) { return value ? number(*value) : "-"; }

}  // namespace

RemoteIdentities remote_identities(const Season& season) {
  RemoteIdentities out;
  for (const auto& [key, source] : season.rasters)
    if (is_remote(source.path) && !out.contains(source.path)) out.emplace(source.path, remote_identity(source.path).value_or(""));
  return out;
}

GeographyKey::GeographyKey(const Season& season, const RemoteIdentities& remotes, const InputLog& log, Cache& cache)
    : remotes_(remotes), log_(log), cache_(cache) {
  field("geography, layout", fmt::format("{}", kLayout));
  field("GDAL", GDALVersionInfo("RELEASE_NAME"));
  field("PROJ", proj_info().release);
  field("diurnal_range_c", number(season.diurnal_range_c));
  const auto is_weather = [](const std::string& key) { return std::find(kWeather.begin(), kWeather.end(), key) != kWeather.end(); };
  for (const auto& [key, source] : season.rasters)
    if (is_weather(key)) raster(key, source);
  if (known_) weather_ = text_;
  for (const auto& [key, source] : season.rasters)
    if (!is_weather(key)) raster(key, source);
  const RegionSource& regions = season.regions;
  for (const auto& text : {regions.path, regions.id, regions.layer, regions.name, regions.crs}) field("regions", text);
  if (!regions.path.empty()) source(regions.path);
  if (season.soil) {
    const UniformSoil& soil = *season.soil;
    field("soil", fmt::format("{} {} {} {} {}", number(soil.sand_pct), number(soil.clay_pct), number(soil.organic_matter_pct),
                              number(soil.stones_pct), number(soil.root_depth_m)));
  }
  const bool stated = season.parameters.known("valid_area_min_share");
  field("valid_area_min_share", stated ? number(season.parameters["valid_area_min_share"]) : "-");
  if (known_) all_ = text_;
}

void GeographyKey::field(const std::string& name, const std::string& value) {
  text_ += fmt::format("{} {}:{}\n", name, value.size(), value);
}

void GeographyKey::raster(const std::string& name, const RasterSource& raster) {
  for (const auto& text : {raster.path, raster.variable, raster.crs, raster.unit, raster.calendar, raster.dates, raster.step})
    field(name, text);
  field(name, number(raster.fill) + " " + number(raster.scale) + " " + number(raster.offset));
  if (is_remote(raster.path)) {
    const auto identity = remotes_.find(raster.path);
    if (identity == remotes_.end() || identity->second.empty())
      known_ = false;
    else
      field(raster.path, identity->second);
  } else {
    source(raster.path);
  }
  if (!raster.dates.empty()) source(raster.dates);
}

void GeographyKey::source(const std::string& shown) {
  if (shown.find("{year}") == std::string::npos) return file_and_kin(log_.locate(shown), shown);
  try {
    for (const auto& file : files_of_pattern(shown, log_)) file_and_kin(log_.locate(file.shown), file.shown);
  } catch (const ReadFailure&) {
    known_ = false;
  }
}

// A file counts with those beside it that share its stem, where drivers look for more: rain.tif.aux.xml, regions.dbf.
void GeographyKey::file_and_kin(const std::filesystem::path& path, const std::string& shown) {
  std::error_code error;
  std::vector<std::filesystem::path> kin;
  if (std::filesystem::is_directory(path, error)) {
    kin.push_back(path);
  } else {
    const std::string head = path.stem().string() + ".";
    for (const auto& entry : std::filesystem::directory_iterator(path.parent_path().empty() ? "." : path.parent_path(), error))
      if (entry.path().filename() == path.filename() || entry.path().filename().string().starts_with(head)) kin.push_back(entry.path());
    std::sort(kin.begin(), kin.end());
  }
  if (kin.empty()) known_ = false;
  for (const auto& file : kin) {
    try {
      field(shown + " " + file.filename().string(), cache_.digest(file));
      files_.insert(file.lexically_normal());
    } catch (const InputError&) {
      known_ = false;
    }
  }
}

bool GeographyKey::covers(const std::vector<std::filesystem::path>& files) const {
  return std::all_of(files.begin(), files.end(), [&](const std::filesystem::path& file) {
    for (auto path = file.lexically_normal(); !path.empty() && path != path.root_path(); path = path.parent_path())
      if (files_.contains(path)) return true;
    return false;
  });
}

}  // namespace rickyard
