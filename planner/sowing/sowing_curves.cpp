#include "planner/sowing/sowing_curves.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "planner/crop/season_windows.h"
#include "planner/quality/grain_model.h"
#include "planner/sowing/year_figures.h"

namespace rickyard {
namespace {

const CropRecord& record_of(const GrownPlace& grown, std::size_t run, std::size_t year, std::size_t k) {
  const auto& units = grown.records.runs[run].units;
  const auto at = std::lower_bound(units.begin(), units.end(), grown.place.units[k]) - units.begin();
  return grown.records.at(static_cast<int>(run), static_cast<int>(year), static_cast<int>(at));
}

int season_length(const Season& season) {
  return day_number(in_year(season.season_end, season.crop_year)) - day_number(in_year(season.season_start, season.crop_year - 1)) + 1;
}

// Hectare-weighted mean over the units that reached a stage, in season days of the crop year (paired by month and day of `date`).
std::vector<double> stage_days(const GrownPlace& grown, std::size_t run, const Date& date, std::int16_t CropRecord::*stage) {
  std::vector<double> days;
  const MonthDay pivot = month_day(date);
  for (std::size_t y = 0; y < grown.records.harvest_years.size(); ++y) {
    double sum = 0, reached = 0;
    for (std::size_t k = 0; k < grown.place.units.size(); ++k) {
      const double day = record_of(grown, run, y, k).*stage;
      if (day < 0) continue;
      sum += grown.place.share[k] * day;
      reached += grown.place.share[k];
    }
    const int moved =
        season_day(grown.season, grown.season.crop_year, pivot) - season_day(grown.season, grown.records.harvest_years[y], pivot);
    days.push_back(reached > 0 ? sum / reached + moved : season_length(grown.season));
  }
  return days;
}

DateSpread date_spread(const GrownPlace& grown, const std::vector<double>& days) {
  const Date first = in_year(grown.season.season_start, grown.season.crop_year - 1);
  const auto at = [&](double p) -> std::optional<Date> {
    const double day = weighted_quantile(days, grown.weights, p);
    if (day >= season_length(grown.season)) return std::nullopt;
    return first + boost::gregorian::days(static_cast<long>(std::floor(day + 0.5)));
  };
  return {at(0.1), at(0.5), at(0.9)};
}

// Means of the harvest weather and of the seedbed, by hectares, then over the years.
void set_field_work(const GrownPlace& grown, std::size_t run, SowingResult& result) {
  const auto settings = QualitySettings::from(grown.season.parameters);
  std::vector<double> combine_days, wet_days, moisture, moisture_weights;
  for (std::size_t y = 0; y < grown.weights.size(); ++y) {
    double combine = 0, wet = 0, water = 0, harvested = 0;
    for (std::size_t k = 0; k < grown.place.units.size(); ++k) {
      const auto& record = record_of(grown, run, y, k);
      const double share = grown.place.share[k], weight = grown.weights[y] * share;
      const double late = late_share(record.combine_days, settings.combine_days_needed);
      combine += share * record.combine_days;
      wet += share * record.wet_days_harvest;
      result.late_share += weight * late;
      result.late_failure_points += weight * 100 * settings.late_failure * late;
      result.wet_seedbed_share += weight * (record.sowing_factor < 1 ? 1 : 0);
      if (record.harvested < 0) continue;
      water += share * record.grain_moisture_pct;
      harvested += share;
    }
    combine_days.push_back(combine);
    wet_days.push_back(wet);
    if (!(harvested > 0) || !(grown.weights[y] > 0)) continue;
    moisture.push_back(water / harvested);
    moisture_weights.push_back(grown.weights[y]);
  }
  result.combine_days = weighted_range(combine_days, grown.weights);
  result.wet_days = weighted_range(wet_days, grown.weights);
  if (!moisture.empty()) result.moisture_pct = weighted_range(moisture, moisture_weights);
}

bool same_request(const CropRun& a, const CropRun& b) {
  return a.planned == b.planned && a.wait_days == b.wait_days && a.thermal_factor == b.thermal_factor &&
         a.drilled_after == b.drilled_after && a.sown_on == b.sown_on;
}

}  // namespace

std::size_t SowingRuns::add(const CropRun& request, const std::vector<int>& units) {
  auto run = std::find_if(runs_.begin(), runs_.end(), [&](const CropRun& known) { return same_request(known, request); });
  if (run == runs_.end()) {
    run = runs_.insert(runs_.end(), request);
    run->units.clear();
  }
  std::vector<int> all;
  std::set_union(run->units.begin(), run->units.end(), units.begin(), units.end(), std::back_inserter(all));
  run->units = std::move(all);
  return static_cast<std::size_t>(run - runs_.begin());
}

CropRun waiting_run(const Season& season, const BaseHarvest& base, const SowingPlace& place, const Date& date) {
  CropRun run = contract_run(season, season.contracts[place.contract], {});
  run.thermal_factor *= base.harvest_factors[place.contract];
  run.planned = month_day(date);
  return run;
}

CropRun at_once_run(const Season& season, const BaseHarvest& base, const SowingPlace& place, const Date& date) {
  CropRun run = waiting_run(season, base, place, date);
  run.sown_on = month_day(date);
  return run;
}

HarvestForecast forecast_of_run(const GrownPlace& grown, std::size_t run) {
  const auto settings = QualitySettings::from(grown.season.parameters);
  const auto& terms = grown.base.anchors.terms[grown.place.contract];
  const auto& anchor = grown.base.anchors.rows[grown.place.contract];
  HarvestForecast out;
  out.years = grown.records.harvest_years;
  out.weights = grown.weights;
  ContractForecast row;
  row.units = grown.place.units;
  row.share = grown.place.share;
  row.anchor = anchor.shift;
  for (std::size_t y = 0; y < out.years.size(); ++y)
    for (std::size_t k = 0; k < row.units.size(); ++k)
      row.harvest.push_back(anchored_grain(settings, terms, anchor, record_of(grown, run, y, k), {}));
  out.contracts.push_back(std::move(row));
  return out;
}

SowingResult sowing_result(const GrownPlace& grown, std::size_t run, const Season& one, const Date& date) {
  SowingResult result;
  set_ranges(year_figures(one, forecast_of_run(grown, run)), grown.weights, result);
  result.sown = date_spread(grown, stage_days(grown, run, date, &CropRecord::sown));
  result.heading = date_spread(grown, stage_days(grown, run, date, &CropRecord::heading));
  result.ripe = date_spread(grown, stage_days(grown, run, date, &CropRecord::ripe));
  result.harvested = date_spread(grown, stage_days(grown, run, date, &CropRecord::harvested));
  set_field_work(grown, run, result);
  return result;
}

std::vector<std::string> loss_drivers(const GrownPlace& grown, std::size_t run, const Season& one) {
  struct Driver {
    double t_ha;
    const char* words;
  };
  std::vector<Driver> drivers = {{0, "late or wet sowing"}, {0, "too little water in the season"},
                                 {0, "waterlogged soil"},   {0, "frost near heading"},
                                 {0, "heat in grain fill"}, {0, "a wet harvest"}};
  const double yield_a = grown.base.anchors.rows[grown.place.contract].shift.yield_a;
  for (std::size_t y = 0; y < grown.weights.size(); ++y)
    for (std::size_t k = 0; k < grown.place.units.size(); ++k) {
      const auto& record = record_of(grown, run, y, k);
      const double weight = grown.weights[y] * grown.place.share[k];
      double left = yield_a * record.duration * record.sowing_factor;
      drivers[0].t_ha += weight * (yield_a * record.duration_planned - left);
      const double factors[] = {record.water_factor, record.waterlogging_factor, record.frost_factor, record.heat_factor,
                                record.harvest_factor};
      for (std::size_t f = 0; f < 5; ++f) {
        drivers[f + 1].t_ha += weight * left * (1 - factors[f]);
        left *= factors[f];
      }
    }
  const auto figures = year_figures(one, forecast_of_run(grown, run));
  drivers.push_back({weighted_mean(figures.rejected_nitrogen_t_ha, grown.weights), "nitrogen outside the limits"});
  drivers.push_back({weighted_mean(figures.rejected_screenings_t_ha, grown.weights), "thin grain"});
  drivers.push_back({weighted_mean(figures.rejected_germination_t_ha, grown.weights), "poor germination"});
  drivers.push_back({weighted_mean(figures.rejected_other_t_ha, grown.weights), "other failures at intake"});
  std::stable_sort(drivers.begin(), drivers.end(), [](const Driver& a, const Driver& b) { return a.t_ha > b.t_ha; });
  std::vector<std::string> words;
  for (std::size_t i = 0; i < 2; ++i)
    if (drivers[i].t_ha >= 0.005) words.push_back(fmt::format("{}: {:.2f} t/ha a year on average", drivers[i].words, drivers[i].t_ha));
  return words;
}

}  // namespace rickyard
