#include "geo/raster_stack.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <limits>
#include <sstream>

#include "geo/crs.h"

namespace rickyard {
namespace {

constexpr std::string_view kYear = "{year}";
constexpr std::uintmax_t kLongestSidecar = 16u << 20;  // bytes

}  // namespace

std::vector<YearFile> files_of_pattern(const std::string& pattern, const InputLog& log) {
  const auto slash = pattern.find_last_of('/');
  const std::string folder = slash == std::string::npos ? "" : pattern.substr(0, slash + 1), name = pattern.substr(folder.size());
  const auto at = name.find(kYear);
  if (at == std::string::npos || name.find(kYear, at + 1) != std::string::npos || folder.find(kYear) != std::string::npos)
    InputLog::fail(pattern, "", "{year} must stand once, in the file's name", "write for instance rain_{year}.tif");
  const std::string head = name.substr(0, at), tail = name.substr(at + kYear.size());
  std::vector<YearFile> found;
  std::error_code error;
  for (const auto& entry : std::filesystem::directory_iterator(log.locate(folder.empty() ? "." : folder), error)) {
    const std::string file = entry.path().filename().string();
    if (file.size() != head.size() + 4 + tail.size() || !file.starts_with(head) || !file.ends_with(tail)) continue;
    const std::string digits = file.substr(head.size(), 4);
    if (!std::all_of(digits.begin(), digits.end(), [](char c) { return c >= '0' && c <= '9'; })) continue;
    found.push_back({folder + file, std::stoi(digits)});
  }
  std::sort(found.begin(), found.end(), [](const YearFile& a, const YearFile& b) { return a.year < b.year; });
  if (found.empty())
    InputLog::fail(pattern, "", "no file matches the pattern", "check the path; it is taken from the folder of season.toml");
  return found;
}

namespace {

int year_in(const std::string& pattern, const std::string& shown) { return std::stoi(shown.substr(pattern.find(kYear), 4)); }

std::string read_text(const std::string& shown, InputLog& log) {
  const auto path = log.locate(shown);
  std::error_code error;
  const auto size = std::filesystem::file_size(path, error);
  if (error) InputLog::fail(shown, "", "there is no such file", "check the path; it is taken from the folder of season.toml");
  if (size > kLongestSidecar) InputLog::fail(shown, "", "is too long for a list of dates", "give one date a line");
  std::ifstream in(path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  if (!in) InputLog::fail(shown, "", "cannot be read", "check that it may be read");
  log.file(path);
  return text.str();
}

// A number that the file or the season file states; both only if they agree.
std::optional<double> settle_number(const std::string& place, const std::string& table, const char* name, std::optional<double> file,
                                    std::optional<double> stated) {
  if (file && stated && *file != *stated && !(std::isnan(*file) && std::isnan(*stated)))
    InputLog::fail(place, fmt::format("{:g}", *file), fmt::format("the file's {} contradicts {} = {:g} in {}", name, name, *stated, table),
                   fmt::format("leave out {} in season.toml, or correct the file", name));
  return file ? file : stated;
}

}  // namespace

std::optional<RasterStack> RasterStack::open(const StackRequest& request, const RasterSource& source, InputLog& log) {
  RasterStack stack;
  stack.request_ = request;
  stack.shown_ = source.path;
  try {
    stack.open_parts(source, log);
    stack.settle_place(source, log);
    stack.settle_values(source, log);
    stack.settle_time(source, log);
  } catch (const ReadFailure& failure) {
    log.add(failure.problem);
    return std::nullopt;
  }
  return stack;
}

void RasterStack::open_parts(const RasterSource& source, InputLog& log) {
  std::vector<YearFile> files;
  if (source.path.find(kYear) == std::string::npos)
    files.push_back({source.path, 0});
  else
    files = files_of_pattern(source.path, log);
  for (const auto& file : files) {
    Part part{file.shown, open_raster_file(file.shown, source.variable, log), bands_, {}, {}, {}};
    bands_ += part.file->info().bands;
    parts_.push_back(std::move(part));
  }
}

void RasterStack::settle_place(const RasterSource& source, InputLog& log) {
  grid_ = parts_.front().file->info().grid;
  std::optional<std::string> stated;
  if (!source.crs.empty()) {
    stated = crs_from_text(source.crs);
    if (!stated)
      InputLog::fail("season.toml (rasters." + request_.key + ".crs)", source.crs, "is not a known reference system",
                     "write for instance \"EPSG:4326\"");
  }
  if (request_.timed && static_cast<long long>(grid_.columns) * grid_.rows > std::numeric_limits<int>::max())
    InputLog::fail(parts_.front().shown, "", fmt::format("the grid of {} x {} cells is too large for weather", grid_.columns, grid_.rows),
                   "cut it to the regions first");
  for (const auto& part : parts_) {
    const GridDefinition& grid = part.file->info().grid;
    if (!same_lattice(grid, grid_))
      InputLog::fail(part.shown, "", "its grid differs from that of " + parts_.front().shown, "all files of a stack must share one grid");
    if (grid.crs_wkt.empty() && !stated)
      InputLog::fail(part.shown, "", "has no coordinate reference system",
                     "state it in " + table() + " of season.toml, for instance crs = \"EPSG:4326\"");
    if (!grid.crs_wkt.empty() && stated && !same_crs(grid.crs_wkt, *stated))
      InputLog::fail(part.shown, crs_name(grid.crs_wkt),
                     "the file's reference system contradicts crs = \"" + source.crs + "\" in " + table(),
                     "leave out crs in season.toml, or correct the file");
    if (!grid.crs_wkt.empty() && !grid_.crs_wkt.empty() && !same_crs(grid.crs_wkt, grid_.crs_wkt))
      InputLog::fail(part.shown, crs_name(grid.crs_wkt), "its reference system differs from that of " + parts_.front().shown,
                     "all files of a stack must share one grid");
  }
  if (grid_.crs_wkt.empty()) {
    grid_.crs_wkt = *stated;
    log.declared("rasters." + request_.key + ".crs", source.crs);
  }
  const auto kind = crs_kind(grid_.crs_wkt);
  if (!kind.usable)
    InputLog::fail(parts_.front().shown, crs_name(grid_.crs_wkt), "the reference system is neither geographic nor projected",
                   "give a raster that lies on the earth");
  grid_.geographic = kind.geographic;
}

void RasterStack::settle_values(const RasterSource& source, InputLog& log) {
  step_ = source.step == "month" ? Step::month : Step::day;
  std::optional<UnitConversion> stated;
  if (!source.unit.empty()) {
    stated = unit_conversion(request_.quantity, step_, source.unit);
    if (!stated)
      InputLog::fail("season.toml (rasters." + request_.key + ".unit)", source.unit, "is not a unit known for " + request_.key,
                     "write one of: " + known_units(request_.quantity, step_));
  }
  for (auto& part : parts_) {
    const RasterFileInfo& info = part.file->info();
    part.fill = settle_number(part.shown, table(), "fill", info.fill, source.fill);
    part.scale = settle_number(part.shown, table(), "scale", info.scale, source.scale);
    part.offset = settle_number(part.shown, table(), "offset", info.offset, source.offset);
    if (!info.fill && source.fill) log.declared("rasters." + request_.key + ".fill", fmt::format("{:g}", *source.fill));
    if (!info.scale && source.scale) log.declared("rasters." + request_.key + ".scale", fmt::format("{:g}", *source.scale));
    if (!info.offset && source.offset) log.declared("rasters." + request_.key + ".offset", fmt::format("{:g}", *source.offset));
    const auto own = info.unit.empty() ? std::nullopt : unit_conversion(request_.quantity, step_, info.unit);
    if (!own && !stated) {
      if (request_.quantity == Quantity::plain && info.unit.empty()) {
        unit_ = {};
        continue;
      }
      InputLog::fail(part.shown, info.unit,
                     info.unit.empty() ? "does not say in what unit " + request_.key + " is" : "the unit is not known for " + request_.key,
                     "state it in " + table() + " of season.toml by unit = one of: " + known_units(request_.quantity, step_));
    }
    if (own && stated && *own != *stated)
      InputLog::fail(part.shown, info.unit, "the file's unit contradicts unit = \"" + source.unit + "\" in " + table(),
                     "leave out unit in season.toml, or correct the file");
    if (!own) log.declared("rasters." + request_.key + ".unit", source.unit);
    const UnitConversion unit = own ? *own : *stated;
    if (&part != &parts_.front() && unit != unit_)
      InputLog::fail(part.shown, info.unit, "its unit differs from that of " + parts_.front().shown, "write all files of a stack alike");
    unit_ = unit;
  }
}

void RasterStack::settle_time(const RasterSource& source, InputLog& log) {
  if (!request_.timed) {
    if (bands_ != 1)
      InputLog::fail(shown_, "", fmt::format("holds {} bands, but {} needs exactly one", bands_, request_.key),
                     "give a raster of one band");
    return;
  }
  std::optional<ModelCalendar> stated;
  if (!source.calendar.empty()) {
    stated = parse_calendar(source.calendar);
    if (!stated)
      InputLog::fail("season.toml (rasters." + request_.key + ".calendar)", source.calendar, "is not a calendar that can be used",
                     "write standard, 365_day or 360_day");
  }
  for (const auto& part : parts_) {
    const std::string& name = part.file->info().calendar;
    const auto own = name.empty() ? std::nullopt : parse_calendar(name);
    if (!name.empty() && !own)
      InputLog::fail(part.shown, name, "the calendar cannot be used", "give a file in the standard, 365_day or 360_day calendar");
    if (own && stated && *own != *stated)
      InputLog::fail(part.shown, name, "the file's calendar contradicts calendar = \"" + source.calendar + "\" in " + table(),
                     "leave out calendar in season.toml, or correct the file");
    // CF: a time axis without a calendar is in the standard one.
    const auto calendar = own.value_or(stated.value_or(ModelCalendar::gregorian));
    if (!own && stated) log.declared("rasters." + request_.key + ".calendar", source.calendar);
    if (&part != &parts_.front() && calendar != calendar_)
      InputLog::fail(part.shown, name, "its calendar differs from that of " + parts_.front().shown, "write all files of a stack alike");
    calendar_ = calendar;
  }
  for (const auto& part : parts_) {
    const auto dates = dates_of_part(part, source, log);
    dates_.insert(dates_.end(), dates.begin(), dates.end());
  }
  const auto fault = step_ == Step::month ? first_fault_in_months(dates_) : first_fault_in_days(calendar_, dates_);
  if (fault.band >= 0)
    InputLog::fail(band_name(fault.band), "",
                   (step_ == Step::month ? "months" : "days") + std::string(" do not follow each other: ") + fault.what,
                   step_ == Step::month ? "give every month once, in order"
                                        : "give every day once, in order; where bands are months, state step = \"month\" in " + table());
}

std::vector<ModelDate> RasterStack::dates_of_part(const Part& part, const RasterSource& source, InputLog& log) const {
  const RasterFileInfo& info = part.file->info();
  const bool yearly = source.path.find(kYear) != std::string::npos;
  if (!info.times.empty()) {
    if (!source.dates.empty())
      InputLog::fail(part.shown, "", "has a time axis of its own, and " + table() + " names dates as well",
                     "leave out dates in season.toml");
    auto decoded = decode_cf_times(info.time_unit, calendar_, info.times);
    if (const auto* wrong = std::get_if<std::string>(&decoded))
      InputLog::fail(part.shown + ": time axis", info.time_unit, *wrong, "correct the time axis of the file");
    return std::get<std::vector<ModelDate>>(decoded);
  }
  if (!source.dates.empty()) {
    std::string shown = source.dates;
    if (const auto at = shown.find(kYear); yearly && at != std::string::npos)
      shown.replace(at, kYear.size(), fmt::format("{:04}", year_in(source.path, part.shown)));
    auto parsed = parse_date_lines(read_text(shown, log), calendar_);
    if (const auto* wrong = std::get_if<std::string>(&parsed))
      InputLog::fail(shown, "", *wrong, "give one date YYYY-MM-DD a line, one line a band");
    auto& dates = std::get<std::vector<ModelDate>>(parsed);
    if (static_cast<int>(dates.size()) != info.bands)
      InputLog::fail(part.shown, "", fmt::format("holds {} bands, but {} lists {} dates", info.bands, shown, dates.size()),
                     "give one date a line, one line a band");
    log.declared("rasters." + request_.key + ".dates", source.dates);
    return dates;
  }
  if (!yearly)
    InputLog::fail(part.shown, "", "does not say which dates its bands are",
                   "list them in a file and name it by dates = \"...\" in " + table() + " of season.toml");
  const int year = year_in(source.path, part.shown), expected = step_ == Step::month ? 12 : days_in_year(calendar_, year);
  if (info.bands != expected)
    InputLog::fail(part.shown, "",
                   fmt::format("holds {} bands, but the year has {} {}", info.bands, expected, step_ == Step::month ? "months" : "days"),
                   "give the whole year, or list the dates of the bands in a file named by dates = \"...\"");
  std::vector<ModelDate> dates;
  for (int k = 0; k < expected; ++k)
    dates.push_back(step_ == Step::month ? ModelDate{year, k + 1, 1} : date_of_index(calendar_, day_index(calendar_, {year, 1, 1}) + k));
  return dates;
}

std::string RasterStack::band_name(int band) const {
  const Part* part = &parts_.front();
  for (const auto& p : parts_)
    if (p.first_band <= band) part = &p;
  const std::string date = dates_.empty() ? ""
                           : step_ == Step::month
                               ? to_text(Month{dates_[static_cast<std::size_t>(band)].year, dates_[static_cast<std::size_t>(band)].month})
                               : to_text(dates_[static_cast<std::size_t>(band)]);
  return fmt::format("{}: band {}", part->shown, band - part->first_band + 1) + (date.empty() ? "" : " (" + date + ")");
}

}  // namespace rickyard
