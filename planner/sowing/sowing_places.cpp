#include "planner/sowing/sowing_places.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "planner/base/problem.h"
#include "planner/crop/season_windows.h"
#include "planner/quality/contract_terms.h"
#include "planner/supply/residual.h"

namespace rickyard {
namespace {

constexpr int kUsualDaysBefore = 21;  // sow_earliest of a row that the season's defaults did not fill

[[noreturn]] void refuse(const char* place, std::string value, std::string message, std::string remedy) {
  throw InputError({{Severity::error, place, std::move(value), std::move(message), std::move(remedy)}});
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const auto& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

std::size_t first_row_of(const Season& season, const std::string& region) {
  for (std::size_t c = 0; c < season.contracts.size(); ++c)
    if (season.contracts[c].region == region) return c;
  const auto known = contracted_regions(season);
  refuse("--region", region, "no contract row names this region, so nothing ties its grain to figures",
         known.empty() ? "add a contract row" : "name one of " + joined(known));
}

// The season day of the crop year as a date.
Date crop_year_date(const Season& season, const MonthDay& day) {
  return in_year(season.season_start, season.crop_year - 1) + boost::gregorian::days(season_day(season, season.crop_year, day));
}

void set_dates(const Season& season, SowingPlace& place) {
  const auto& row = season.contracts[place.contract];
  const CropRun request = contract_run(season, row, {});
  place.planned = crop_year_date(season, request.planned);
  place.earliest =
      row.sow_earliest ? crop_year_date(season, month_day(*row.sow_earliest)) : place.planned - boost::gregorian::days(kUsualDaysBefore);
  place.latest = place.planned + boost::gregorian::days(request.wait_days);
  place.earliest = std::min(place.earliest, place.planned);
}

SowingPlace place_of_region(const Season& season, const std::string& id, const Land* land) {
  SowingPlace place;
  place.contract = first_row_of(season, id);
  place.region = place.name = id;
  set_dates(season, place);
  if (!land) return place;
  const Region& region = region_of(*land, id, "--region");
  if (!region.name.empty()) place.name = region.name;
  double ha = 0;
  for (const auto& unit : region.units) ha += unit.ha;
  for (const auto& unit : region.units) {
    if (!(unit.ha > 0)) continue;
    place.units.push_back(unit.unit);
    place.share.push_back(unit.ha / ha);
  }
  return place;
}

bool holds(const WeatherCell& cell, double lon, double lat) {
  constexpr double kSlack = 1e-9;
  const double across = std::remainder(lon - cell.lon_deg, 360.0);
  return std::abs(across) <= cell.width_deg / 2 + kSlack && std::abs(lat - cell.lat_deg) <= cell.height_deg / 2 + kSlack;
}

// Keeps the units of a region that lie in one cell; the hectares' share of the region that they hold.
double keep_cell(const Land& land, int cell, SowingPlace& place) {
  SowingPlace kept = place;
  kept.units.clear();
  kept.share.clear();
  double sum = 0;
  for (std::size_t k = 0; k < place.units.size(); ++k) {
    if (land.units[static_cast<std::size_t>(place.units[k])].cell != cell) continue;
    kept.units.push_back(place.units[k]);
    kept.share.push_back(place.share[k]);
    sum += place.share[k];
  }
  for (double& share : kept.share) share /= sum;
  place = std::move(kept);
  return sum;
}

[[noreturn]] void refuse_point(const Land& land, const std::vector<SowingPlace>& regions, double lon, double lat) {
  double nearest_km = std::numeric_limits<double>::infinity();
  std::string nearest;
  for (const auto& region : regions)
    for (int unit : region.units) {
      const auto& cell = land.cells[static_cast<std::size_t>(land.units[static_cast<std::size_t>(unit)].cell)];
      const double km = great_circle_km(lon, lat, cell.lon_deg, cell.lat_deg);
      if (!(km < nearest_km)) continue;
      nearest_km = km;
      nearest =
          fmt::format("the nearest is region {}, cell at {:.4f},{:.4f}, {:.0f} km away", region.region, cell.lon_deg, cell.lat_deg, km);
    }
  refuse("--at", fmt::format("{:.6g},{:.6g}", lon, lat), "no weather cell with land of a contracted region lies there", nearest);
}

// The region with most hectares in the cell that holds the point speaks for it.
SowingPlace place_of_point(const Season& season, const std::array<double, 2>& at, const Land* land) {
  if (!land) refuse("--at", fmt::format("{:.6g},{:.6g}", at[0], at[1]), "model = \"formulas\" has no map", "name a region with --region");
  std::vector<SowingPlace> regions;
  for (const auto& id : contracted_regions(season)) regions.push_back(place_of_region(season, id, land));
  SowingPlace best;
  double most_ha = 0;
  for (std::size_t c = 0; c < land->cells.size(); ++c) {
    if (!holds(land->cells[c], at[0], at[1])) continue;
    for (auto place : regions) {
      double region_ha = 0;
      for (const auto& unit : region_of(*land, place.region, "--at").units) region_ha += unit.ha;
      const double ha = keep_cell(*land, static_cast<int>(c), place) * region_ha;
      if (!(ha > most_ha)) continue;
      most_ha = ha;
      best = std::move(place);
    }
  }
  if (!(most_ha > 0)) refuse_point(*land, regions, at[0], at[1]);
  best.at = at;
  return best;
}

}  // namespace

MonthDay month_day(const Date& date) { return {date.month().as_number(), date.day().as_number()}; }

std::vector<SowingPlace> sowing_places(const Season& season, const SowingRequest& request, const Land* land) {
  std::vector<SowingPlace> places;
  for (const auto& id : request.regions) places.push_back(place_of_region(season, id, land));
  if (request.at) places.push_back(place_of_point(season, *request.at, land));
  if (!places.empty()) return places;
  for (const auto& id : contracted_regions(season)) places.push_back(place_of_region(season, id, land));
  return places;
}

std::vector<Date> dates_tried(const Season& season, const SowingPlace& place) {
  const auto days = [&](const char* name) { return boost::gregorian::days(std::lround(season.parameters[name])); };
  const Date end = place.latest + days("sowing_after_latest_days");
  const auto step = days("sowing_step_days");
  std::vector<Date> dates = {place.earliest, place.planned};
  // The planned date stands in for one nearer to it than half a step.
  for (Date date = place.earliest + step; date <= end; date += step)
    if (2 * std::abs((date - place.planned).days()) >= step.days()) dates.push_back(date);
  std::sort(dates.begin(), dates.end());
  dates.erase(std::unique(dates.begin(), dates.end()), dates.end());
  return dates;
}

}  // namespace rickyard
