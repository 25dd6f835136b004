#include "planner/quality/usual_harvest.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "planner/crop/season_windows.h"
#include "planner/crop/stages.h"
#include "planner/quality/contract_terms.h"
#include "planner/quality/crop_runs.h"

namespace rickyard {
namespace {

constexpr double kLeast = 0.6, kMost = 1.6;

// Thermal time in C d of one cell over archive days first .. last.
double thermal_time_cd(const WeatherArchive& archive, int cell, int first, int last, double base_c) {
  double units = 0;
  for (int day = first; day <= std::min(last, archive.days - 1); ++day)
    units += thermal_units(archive.tmin_cc[archive.at(day, cell)] + archive.tmax_cc[archive.at(day, cell)], base_c);
  return units / kThermalUnitsPerDegreeDay;
}

struct Grown {
  const Season& season;
  const Land& land;
  const WeatherArchive& archive;
  const CropRecords& records;
  std::vector<SeasonWindow> windows;  // of the records' years; the season in hand is passed over
  bool counts(std::size_t year) const { return windows[year].harvest_year != season.crop_year; }
  double years() const {
    return static_cast<double>(
        std::count_if(windows.begin(), windows.end(), [&](const SeasonWindow& w) { return w.harvest_year != season.crop_year; }));
  }
};

// Hectare-weighted mean days from ripeness to harvest over the units and years that reached both; 0 where none did.
double mean_lag(const Grown& grown, const RowUnits& row) {
  double days = 0, weight = 0;
  for (std::size_t y = 0; y < grown.windows.size(); ++y)
    for (std::size_t k = 0; grown.counts(y) && k < row.units.size(); ++k) {
      const auto& record = grown.records.at(row.runs[k], static_cast<int>(y), row.places[k]);
      if (record.harvested < 0) continue;
      days += row.share[k] * (record.harvested - record.ripe);
      weight += row.share[k];
    }
  return weight > 0 ? days / weight : 0;
}

double factor_of(const Grown& grown, const RowUnits& row, const MonthDay& usual, double lag_days, double variety_factor) {
  const auto& p = grown.season.parameters;
  const int lag = static_cast<int>(std::floor(lag_days + 0.5));
  double mean_cd = 0;
  for (std::size_t y = 0; y < grown.windows.size(); ++y) {
    const auto& window = grown.windows[y];
    const int last = window.first + harvest_season_day(grown.season, window.harvest_year, usual) - lag;
    for (std::size_t k = 0; grown.counts(y) && k < row.units.size(); ++k) {
      const int sown = grown.records.at(row.runs[k], static_cast<int>(y), row.places[k]).sown;
      const int cell = grown.land.units[static_cast<std::size_t>(row.units[k])].cell;
      mean_cd +=
          row.share[k] * thermal_time_cd(grown.archive, cell, window.first + sown + 1, last, p["base_temperature_c"]) / grown.years();
    }
  }
  return std::clamp(std::floor(100 * mean_cd / (p["ripeness_cd"] * variety_factor) + 0.5) / 100, kLeast, kMost);
}

// One run with the factors given, and the factors that it calls for. lags: [contract] mean days from ripeness to harvest of the runs
// before, to which this run's are added.
using Lags = std::vector<std::vector<double>>;
std::vector<double> factors_from(const Season& season, const Land& land, const WeatherArchive& archive, std::vector<double> factors,
                                 Lags& lags, const Growing& growing) {
  const auto requests = run_requests(season, {}, factors);
  const auto runs = crop_runs(season, land, requests, {});
  const auto records = run_crop(land, archive, runs, season, {}, growing);
  std::vector<MonthDay> planned;
  planned.reserve(runs.size());
  for (const auto& run : runs) planned.push_back(run.planned);
  const Grown grown{season, land, archive, records, season_windows(season, archive, planned)};
  for (std::size_t c = 0; c < factors.size(); ++c) {
    const auto& contract = season.contracts[c];
    if (!contract.usual_harvest) continue;
    const MonthDay usual{contract.usual_harvest->month().as_number(), contract.usual_harvest->day().as_number()};
    const double variety = contract_run(season, contract, {}).thermal_factor;
    const auto row = row_units(season, runs, requests[c], region_of(land, contract.region, "contracts"));
    lags[c].push_back(mean_lag(grown, row));
    const double lag = std::accumulate(lags[c].begin(), lags[c].end(), 0.0) / static_cast<double>(lags[c].size());
    factors[c] = factor_of(grown, row, usual, lag, variety);
  }
  return factors;
}

}  // namespace

std::vector<double> usual_harvest_factors(const Season& season, const Land& land, const WeatherArchive& archive, const Growing& growing) {
  std::vector<double> factors(season.contracts.size(), 1);
  if (std::none_of(season.contracts.begin(), season.contracts.end(), [](const ContractRow& row) { return row.usual_harvest.has_value(); }))
    return factors;
  // Twice: a later harvest dries more slowly, so the days from ripeness to harvest are the mean of the first run's and of the one it leads
  // to.
  Lags lags(factors.size());
  for (int pass = 0; pass < 2; ++pass) factors = factors_from(season, land, archive, factors, lags, growing);
  return factors;
}

}  // namespace rickyard
