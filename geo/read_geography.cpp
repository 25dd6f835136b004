#include "geo/read_geography.h"

#include <fmt/format.h>

#include <cassert>

#include "geo/ellipsoid.h"
#include "geo/gdal_words.h"
#include "geo/geography_key.h"
#include "geo/geography_store.h"
#include "geo/kept_bytes.h"
#include "geo/land_units.h"
#include "geo/outline.h"
#include "geo/regions.h"
#include "geo/soil.h"
#include "geo/weather.h"

namespace rickyard {
namespace {

double valid_min_share(const Season& season) {
  return season.parameters.known("valid_area_min_share") ? season.parameters["valid_area_min_share"] : kValidAreaMinShare;
}

// A way from the layer's system; logged where there is none, or only a rough one.
std::optional<Transform> way_from(const RegionLayer& layer, const std::string& to_wkt, InputLog& log) {
  try {
    Transform transform(layer.crs_wkt, to_wkt, box_of(layer));
    if (transform.ballpark())
      log.warning(layer.shown, crs_name(layer.crs_wkt),
                  "the shift from this system to " + crs_name(to_wkt) + " is not known and taken as none",
                  "places may be off by a few hundred metres; give the regions in another reference system");
    return transform;
  } catch (const std::runtime_error& error) {
    log.error(layer.shown, crs_name(layer.crs_wkt),
              std::string("the regions cannot be brought to ") + crs_name(to_wkt) + ": " + error.what(),
              "give them in another reference system");
    return std::nullopt;
  }
}

// Regions with area and outline; on the grid where there is one.
std::vector<RegionOnGrid> place_regions(const RegionLayer& layer, const GridDefinition* grid, Progress& progress, InputLog& log) {
  std::vector<RegionOnGrid> out;
  const auto to_lonlat = way_from(layer, wgs84_wkt(), log);
  const bool same = grid == nullptr || same_crs(grid->crs_wkt, wgs84_wkt());
  const auto to_grid = same ? std::nullopt : way_from(layer, grid->crs_wkt, log);
  if (!to_lonlat || (!same && !to_grid)) return out;
  report_overlaps(layer, *to_lonlat, log);
  const double degree_tolerance = bend_tolerance(wgs84_wkt()), grid_tolerance = same ? 0 : bend_tolerance(grid->crs_wkt);
  for (std::size_t i = 0; i < layer.regions.size(); ++i) {
    const RegionShape& shape = layer.regions[i];
    const auto lonlat = bend(shape.shape, *to_lonlat, degree_tolerance);
    const auto bent = to_grid ? bend(shape.shape, *to_grid, grid_tolerance) : lonlat;
    if (!lonlat || !bent) {
      log.error(fmt::format("{}: region \"{}\"", layer.shown, shape.id), "",
                "part of its outline has no place in the reference system of the weather rasters",
                "check the outline and its reference system");
      continue;
    }
    Region region;
    region.id = shape.id;
    region.name = shape.name;
    region.area_ha = lonlat_area_m2(*lonlat) / kSquareMetresPerHectare;
    region.outline_geojson = outline_geojson(*lonlat);
    out.push_back(grid != nullptr ? place_region(std::move(region), *bent, *grid) : RegionOnGrid{std::move(region), {}, 0});
    progress.step(static_cast<long long>(i) + 1, static_cast<long long>(layer.regions.size()));
  }
  return out;
}

// Repairs and partial cover travel with the land, so that every later report can say them.
Findings warnings_of(const std::vector<Problem>& problems) {
  Findings out;
  for (const auto& problem : problems)
    if (problem.severity == Severity::warning) {
      Finding finding{Severity::warning, {"geography", -1, problem.place}, problem.value, problem.message, problem.remedy};
      out.push_back(std::move(finding));
    }
  return out;
}

// One reading of a season.
class Reader {
 public:
  Reader(const Season& season, const std::filesystem::path& folder, Progress& progress, const ReadingOptions& options)
      : season_(season), folder_(folder), progress_(progress), options_(options), log_(folder), remotes_(remote_identities(season)) {
    if (options.cache != nullptr) key_.emplace(season, remotes_, log_, *options.cache);
  }

  GeoReading read();

 private:
  CacheKey geography_key() const { return {"geography", key_->all()}; }
  bool find(GeoReading& out) const;
  void keep(const GeoReading& out) const;
  void read_all(GeoReading& out);
  void read_cells(const std::vector<RegionOnGrid>& regions, const CellList& cells, const WeatherStacks& stacks, const std::string& shown,
                  GeoReading& out);
  bool all_known() const { return key_ && log_.names_all_files() && key_->covers(log_.files); }

  const Season& season_;
  const std::filesystem::path& folder_;
  Progress& progress_;
  const ReadingOptions& options_;
  InputLog log_;
  const RemoteIdentities remotes_;
  std::optional<GeographyKey> key_;
  PackedWeather packed_;
};

void Reader::read_all(GeoReading& out) {
  progress_.stage("reading regions");
  const bool rasters = !season_.rasters.empty();
  std::optional<RegionLayer> layer;
  if (!season_.regions.path.empty() || rasters) layer = read_region_layer(season_.regions, log_);
  WeatherStacks stacks;
  if (rasters) stacks = open_weather(season_, log_);
  const RasterStack* leader = stacks.leader();
  if (leader != nullptr) out.grid = leader->grid();
  progress_.stage("placing regions on the weather grid");
  const auto regions =
      layer ? place_regions(*layer, leader == nullptr ? nullptr : &out.grid, progress_, log_) : std::vector<RegionOnGrid>{};
  const CellList cells = leader == nullptr ? CellList{} : cells_of(regions, out.grid);
  if (!cells.empty()) return read_cells(regions, cells, stacks, layer->shown, out);
  if (rasters) check_soil(season_, log_);
  for (const auto& region : regions) {
    if (leader != nullptr)
      log_.error(layer->shown + ": region \"" + region.region.id + "\"", "", "lies outside the weather rasters",
                 "give rasters that cover it, or take the region out");
    out.land.regions.push_back(region.region);
  }
}

void Reader::read_cells(const std::vector<RegionOnGrid>& regions, const CellList& cells, const WeatherStacks& stacks,
                        const std::string& shown, GeoReading& out) {
  // Soils come first, for they tell which cells the archive needs; what they have to say comes last.
  progress_.stage("reading soils");
  InputLog soil_log(folder_);
  const SoilReading soil = read_soil(season_, out.grid, cells, progress_, soil_log);
  std::vector<char> wanted;
  for (const auto& cell : soil.cells) wanted.push_back(holds_land(cell) ? 1 : 0);
  progress_.stage("reading weather");
  const bool keep = all_known() && !log_.has_errors() && !soil_log.has_errors();
  WeatherReading weather = read_weather(stacks, cells, wanted, keep ? key_->weather() : "", options_, progress_, log_);
  log_.append(soil_log);
  // Where reading failed the shares of valid land say nothing new.
  InputLog shares{std::filesystem::path()};
  LandResult result =
      build_land(regions, out.grid, cells, soil, weather.complete, valid_min_share(season_), shown, log_.has_errors() ? shares : log_);
  assert(!weather.daily || result.kept.size() == static_cast<std::size_t>(weather.daily->cells));
  out.land = std::move(result.land);
  for (int position : result.kept) out.grid.cell_index.push_back(cells[static_cast<std::size_t>(position)]);
  out.daily = std::move(weather.daily);
  out.monthly = std::move(weather.monthly);
  packed_ = std::move(weather.packed);
}

bool Reader::find(GeoReading& out) const {
  if (!key_ || key_->all().empty()) return false;
  const auto bytes = load_bytes(*options_.cache, geography_key());
  if (!bytes) return false;
  GeoReading found;
  PackedWeather packed;
  try {
    ByteReader reader(*bytes);
    get(reader, found, packed, folder_);
  } catch (const std::out_of_range&) {
    return false;
  }
  if (!packed.made_from.empty()) {
    found.daily = map_weather(*options_.cache, packed);
    if (!found.daily) return false;
  }
  out = std::move(found);
  return true;
}

void Reader::keep(const GeoReading& out) const {
  if (!all_known() || key_->all().empty() || has_error(out.problems)) return;
  if (out.daily && packed_.made_from.empty()) return;  // the cache could not take the weather
  ByteWriter writer;
  put(writer, out, packed_, folder_);
  keep_bytes(*options_.cache, geography_key(), writer.bytes());
}

GeoReading Reader::read() {
  GeoReading out;
  if (find(out)) {
    out.made_from = key_->all();
    return out;
  }
  read_all(out);
  out.land.warnings = warnings_of(log_.problems);
  out.problems = log_.problems;
  out.files = log_.files;
  out.declared = log_.declarations;
  for (const auto& url : log_.remotes) {
    const auto identity = remotes_.find(url);
    out.remote.push_back({url, identity == remotes_.end() ? "" : identity->second});
  }
  keep(out);
  if (all_known() && !has_error(out.problems)) out.made_from = key_->all();
  return out;
}

}  // namespace

GeoReading read_geography(const Season& season, const std::filesystem::path& folder, Progress& progress, const ReadingOptions& options) {
  prepare_gdal();
  const GdalWords quiet;
  return Reader(season, folder, progress, options).read();
}

}  // namespace rickyard
