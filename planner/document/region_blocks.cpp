// Years, regions, contracts and supply of the plan document.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "planner/crop/season_windows.h"
#include "planner/document/build_document.h"
#include "planner/document/cause_blocks.h"

namespace rickyard {
namespace {

constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();

// Contract rows of one region, in table order.
struct RegionRows {
  std::string region;
  std::vector<std::size_t> rows;
};

// Regions with contracts: in the order of the region file, or of first appearance without one.
std::vector<RegionRows> contracted_regions(const Season& season, const Land* land) {
  std::vector<RegionRows> found;
  if (land)
    for (const auto& region : land->regions) found.push_back({region.id, {}});
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    const auto& id = season.contracts[c].region;
    auto at = std::find_if(found.begin(), found.end(), [&](const RegionRows& r) { return r.region == id; });
    if (at == found.end()) at = found.insert(found.end(), {id, {}});
    at->rows.push_back(c);
  }
  std::erase_if(found, [](const RegionRows& r) { return r.rows.empty(); });
  return found;
}

// One region in one scenario: sums and tonnes-weighted means over its contract rows.
ContractScenario region_scenario(const Scenario& scenario, const std::vector<std::size_t>& rows) {
  ContractScenario sum;
  double n_t = 0, accepted_n_t = 0, screenings_t = 0, plain_yield = 0, plain_n = 0, plain_screenings = 0;
  for (std::size_t c : rows) {
    const auto& one = scenario.contracts[c];
    sum.harvested_ha += one.harvested_ha;
    sum.offered_t += one.offered_t;
    sum.qualifying_t += one.qualifying_t;
    sum.with_claim_t += one.with_claim_t;
    sum.rejected_nitrogen_t += one.rejected_nitrogen_t;
    sum.rejected_screenings_t += one.rejected_screenings_t;
    sum.rejected_germination_t += one.rejected_germination_t;
    sum.rejected_other_t += one.rejected_other_t;
    if (one.offered_t > 0) {  // N of no grain is undefined
      n_t += one.n_pct * one.offered_t;
      screenings_t += one.screenings_pct * one.offered_t;
    }
    if (one.qualifying_t > 0) accepted_n_t += one.n_accepted_pct * one.qualifying_t;
    plain_yield += one.yield_t_ha;
    plain_n += one.n_pct;
    plain_screenings += one.screenings_pct;
  }
  const double n = static_cast<double>(rows.size());
  const bool any = sum.offered_t > 0;  // a region without hectares keeps the plain mean of its rows
  sum.yield_t_ha = any ? sum.offered_t / sum.harvested_ha : plain_yield / n;
  sum.n_pct = any ? n_t / sum.offered_t : plain_n / n;
  sum.screenings_pct = any ? screenings_t / sum.offered_t : plain_screenings / n;
  sum.n_accepted_pct = sum.qualifying_t > 0 ? accepted_n_t / sum.qualifying_t : kMissing;
  return sum;
}

double rejected(const ContractScenario& s) {
  return s.rejected_nitrogen_t + s.rejected_screenings_t + s.rejected_germination_t + s.rejected_other_t;
}
double qualifying_share(const ContractScenario& s) { return s.offered_t > 0 ? s.qualifying_t / s.offered_t : 0; }

// First day of the season whose harvest falls in `year`.
Date season_first_day(const Season& season, int year) { return in_year(season.season_start, year - 1); }
int season_length(const Season& season, int year) {
  return day_number(in_year(season.season_end, year)) - day_number(season_first_day(season, year)) + 1;
}

std::optional<Date> dated(const Season& season, int year, double day) {
  if (!(day >= 0)) return std::nullopt;
  return date_of(day_number(season_first_day(season, year)) + static_cast<int>(std::floor(day + 0.5)));
}

// Planted-hectare-weighted mean of a date over the rows of a region; -1 where any row did not reach it.
double region_day(const DocumentInput& in, const std::vector<std::size_t>& rows, std::size_t year, double MeanDates::*which) {
  double sum = 0, weight = 0;
  for (std::size_t c : rows) {
    const auto& dates = in.forecast.contracts[c].dates;
    if (year >= dates.size() || dates[year].*which < 0) return -1;
    const double ha = std::max(in.season.contracts[c].planted_ha.value_or(1), 1e-9);
    sum += dates[year].*which * ha;
    weight += ha;
  }
  return sum / weight;
}

// A season day of one year as the season day of the crop year with the same date: 29 February shifts what comes after it.
double in_crop_year(const Season& season, int year, double day) {
  const int march = season_day(season, year, {3, 1});
  return day >= march ? day - march + season_day(season, season.crop_year, {3, 1}) : day;
}

DateRange date_range(const DocumentInput& in, const std::vector<std::size_t>& rows, double MeanDates::*which) {
  const int length = season_length(in.season, in.season.crop_year);
  std::vector<double> days;
  for (std::size_t y = 0; y < in.forecast.years.size(); ++y) {
    const double day = region_day(in, rows, y, which);
    days.push_back(day < 0 ? length : in_crop_year(in.season, in.forecast.years[y], day));
  }
  const auto at = [&](double p) -> std::optional<Date> {
    const double day = weighted_quantile(days, in.forecast.weights, p);
    return day >= length ? std::nullopt : dated(in.season, in.season.crop_year, day);
  };
  return {at(0.1), at(0.5), at(0.9)};
}

PlanDocument::Losses mean_losses(const DocumentInput& in, const std::vector<std::size_t>& rows) {
  PlanDocument::Losses mean;
  double total = 0;
  for (std::size_t c : rows) {
    const double ha = std::max(in.season.contracts[c].planted_ha.value_or(1), 1e-9);
    const auto& losses = in.forecast.contracts[c].losses;
    for (std::size_t y = 0; y < losses.size(); ++y) {
      const double w = ha * in.forecast.weights[y];
      mean.sowing += w * losses[y].sowing;
      mean.water += w * losses[y].water;
      mean.waterlogging += w * losses[y].waterlogging;
      mean.frost += w * losses[y].frost;
      mean.heat += w * losses[y].heat;
      mean.harvest += w * losses[y].harvest;
      total += w;
    }
  }
  if (total > 0)
    for (double* part : {&mean.sowing, &mean.water, &mean.waterlogging, &mean.frost, &mean.heat, &mean.harvest}) *part /= total;
  return mean;
}

// Harvest weather of a region and year; moisture over the rows that harvested.
PlanDocument::HarvestWeather harvest_weather(const DocumentInput& in, const std::vector<std::size_t>& rows, std::size_t year) {
  double combine_days = 0, wet_days = 0, late_share = 0, moisture = 0, total = 0, harvested = 0;
  for (std::size_t c : rows) {
    const auto& weather = in.forecast.contracts[c].harvest_weather;
    if (year >= weather.size()) return {};
    const double ha = std::max(in.season.contracts[c].planted_ha.value_or(1), 1e-9);
    combine_days += ha * weather[year].combine_days;
    wet_days += ha * weather[year].wet_days;
    late_share += ha * weather[year].late_share;
    total += ha;
    if (weather[year].moisture_pct < 0) continue;
    moisture += ha * weather[year].moisture_pct;
    harvested += ha;
  }
  PlanDocument::HarvestWeather mean{std::nullopt, combine_days / total, wet_days / total, late_share / total};
  if (harvested > 0) mean.moisture_pct = moisture / harvested;
  return mean;
}

// Mean over the years in which a figure is known.
PlanDocument::HarvestWeather mean_harvest_weather(const DocumentInput& in, const std::vector<PlanDocument::RegionYear>& years) {
  PlanDocument::HarvestWeather mean;
  for (std::optional<double> PlanDocument::HarvestWeather::*figure :
       {&PlanDocument::HarvestWeather::moisture_pct, &PlanDocument::HarvestWeather::combine_days, &PlanDocument::HarvestWeather::wet_days,
        &PlanDocument::HarvestWeather::late_share}) {
    double sum = 0, weight = 0;
    for (std::size_t y = 0; y < years.size(); ++y)
      if (const auto& value = years[y].harvest_weather.*figure) {
        sum += in.supply.year_weights[y] * *value;
        weight += in.supply.year_weights[y];
      }
    if (weight > 0) mean.*figure = sum / weight;
  }
  return mean;
}

std::vector<PlanDocument::RegionYear> region_years(const DocumentInput& in, const RegionRows& rows,
                                                   const std::vector<ContractScenario>& by_scenario) {
  std::vector<PlanDocument::RegionYear> years(in.supply.years.size());
  std::vector<double> count(years.size(), 0);
  for (std::size_t s = 0; s < by_scenario.size(); ++s) {
    const auto y = static_cast<std::size_t>(in.supply.scenarios[s].year);
    auto& year = years[y];
    year.yield_t_ha += by_scenario[s].yield_t_ha;
    year.n_pct += by_scenario[s].n_pct;
    year.screenings_pct += by_scenario[s].screenings_pct;
    year.qualifying_share += qualifying_share(by_scenario[s]);
    year.offered_t += by_scenario[s].offered_t;
    year.qualifying_t += by_scenario[s].qualifying_t;
    count[y] += 1;
  }
  for (std::size_t y = 0; y < years.size(); ++y) {
    auto& year = years[y];
    year.year = in.supply.years[y];
    for (double* figure :
         {&year.yield_t_ha, &year.n_pct, &year.screenings_pct, &year.qualifying_share, &year.offered_t, &year.qualifying_t})
      *figure /= std::max(count[y], 1.0);
    if (!in.forecast.from_weather) continue;
    year.sown = dated(in.season, year.year, region_day(in, rows.rows, y, &MeanDates::sown));
    year.ripe = dated(in.season, year.year, region_day(in, rows.rows, y, &MeanDates::ripe));
    year.harvested = dated(in.season, year.year, region_day(in, rows.rows, y, &MeanDates::harvested));
    year.harvest_weather = harvest_weather(in, rows.rows, y);
  }
  return years;
}

PlanDocument::RegionBlock region_block(const DocumentInput& in, const RegionRows& rows) {
  PlanDocument::RegionBlock block;
  block.region = rows.region;
  block.name = rows.region;
  block.origin = in.season.contracts[rows.rows.front()].origin;
  if (in.land)
    for (std::size_t r = 0; r < in.land->regions.size(); ++r)
      if (in.land->regions[r].id == rows.region) {
        block.name = in.land->regions[r].name;
        if (r < in.suitability.size()) block.suitability = in.suitability[r];
      }
  for (std::size_t c : rows.rows) block.planted_ha += in.season.contracts[c].planted_ha.value_or(0);

  std::vector<ContractScenario> by_scenario;
  std::vector<double> weights;
  for (const auto& scenario : in.supply.scenarios) {
    by_scenario.push_back(region_scenario(scenario, rows.rows));
    weights.push_back(scenario.weight);
  }
  const auto over = [&](auto&& figure) {
    std::vector<double> values;
    values.reserve(by_scenario.size());
    for (const auto& s : by_scenario) values.push_back(figure(s));
    return range_where_defined(values, weights);
  };
  block.harvested_ha = by_scenario.empty() ? 0 : by_scenario.front().harvested_ha;
  block.yield_t_ha = over([](const auto& s) { return s.yield_t_ha; });
  block.n_pct = over([](const auto& s) { return s.n_pct; });
  block.n_accepted_pct = over([](const auto& s) { return s.n_accepted_pct; });
  block.screenings_pct = over([](const auto& s) { return s.screenings_pct; });
  block.qualifying_share = over([](const auto& s) { return qualifying_share(s); });
  block.offered_t = over([](const auto& s) { return s.offered_t; });
  block.qualifying_t = over([](const auto& s) { return s.qualifying_t; });
  block.with_claim_t = over([](const auto& s) { return s.with_claim_t; });
  block.rejected_t = over([](const auto& s) { return rejected(s); });
  block.rejected_by_cause_t = {
      over([](const auto& s) { return s.rejected_nitrogen_t; }).mean, over([](const auto& s) { return s.rejected_screenings_t; }).mean,
      over([](const auto& s) { return s.rejected_germination_t; }).mean, over([](const auto& s) { return s.rejected_other_t; }).mean};
  if (in.forecast.from_weather) {
    block.sown = date_range(in, rows.rows, &MeanDates::sown);
    block.heading = date_range(in, rows.rows, &MeanDates::heading);
    block.ripe = date_range(in, rows.rows, &MeanDates::ripe);
    block.harvested = date_range(in, rows.rows, &MeanDates::harvested);
    block.loss_t_ha = mean_losses(in, rows.rows);
  }
  block.by_year = region_years(in, rows, by_scenario);
  block.harvest_weather = mean_harvest_weather(in, block.by_year);
  auto causes = region_causes(in, rows.rows, by_scenario, block.qualifying_t.mean, block.rejected_by_cause_t);
  block.causes = causes.mean;
  block.drivers = std::move(causes.drivers);
  for (std::size_t y = 0; y < block.by_year.size(); ++y) {
    block.by_year[y].causes = causes.by_year[y];
    block.by_year[y].drivers = std::move(causes.drivers_by_year[y]);
  }
  return block;
}

}  // namespace

Range range_where_defined(const std::vector<double>& values, const std::vector<double>& weights) {
  std::vector<double> kept, kept_weights;
  for (std::size_t i = 0; i < values.size(); ++i)
    if (!std::isnan(values[i]) && weights[i] > 0) {
      kept.push_back(values[i]);
      kept_weights.push_back(weights[i]);
    }
  if (kept.empty()) return {kMissing, kMissing, kMissing, kMissing};
  return weighted_range(kept, kept_weights);
}

std::vector<PlanDocument::WeatherYear> year_blocks(const HarvestForecast& forecast) {
  std::vector<PlanDocument::WeatherYear> years;
  const std::size_t n = forecast.years.size();
  for (std::size_t y = 0; y < n; ++y) {
    PlanDocument::WeatherYear year;
    year.year = forecast.years[y];
    year.weight = forecast.weights[y];
    year.kind = forecast.from_weather ? "normal" : "drawn";
    if (forecast.from_weather) {
      year.rain_mm = forecast.rain_mm[y];
      year.rain_apr_jul_mm = forecast.rain_apr_jul_mm[y];
    }
    years.push_back(year);
  }
  if (!forecast.from_weather || n < 3) return years;
  std::vector<std::size_t> order(n);
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return forecast.rain_apr_jul_mm[a] < forecast.rain_apr_jul_mm[b]; });
  for (std::size_t i = 0; i < n; ++i) years[order[i]].kind = 3 * i < n ? "dry" : 3 * i >= 2 * n ? "wet" : "normal";
  return years;
}

std::vector<PlanDocument::RegionBlock> region_blocks(const DocumentInput& input) {
  std::vector<PlanDocument::RegionBlock> blocks;
  for (const auto& rows : contracted_regions(input.season, input.land)) blocks.push_back(region_block(input, rows));
  return blocks;
}

std::vector<PlanDocument::ContractBlock> contract_blocks(const DocumentInput& input) {
  std::vector<PlanDocument::ContractBlock> blocks;
  const auto& result = input.sourcing;
  for (std::size_t c = 0; c < input.season.contracts.size(); ++c) {
    const auto& row = input.season.contracts[c];
    PlanDocument::ContractBlock block;
    block.contract = row.contract;
    block.file = row.at.file;
    block.row = row.at.row;
    block.region = row.region;
    block.form = row.form == ContractForm::area ? "area" : row.form == ContractForm::area_capped ? "area_capped" : "tonnage";
    block.is_signed = !row.sign_by || input.season.as_of > *row.sign_by;
    block.unit = row.form == ContractForm::tonnage ? "t" : "ha";
    block.amount = row.form == ContractForm::tonnage ? row.contracted_t.value_or(0) : row.planted_ha.value_or(0);
    block.proposed = block.amount;
    if (input.answers) block.amount = input.answers->listed_amount[c];
    std::vector<double> delivered(result.weight.size(), 0), accepted = delivered, made_good = delivered, cost = delivered;
    for (const auto& account : result.accounts)
      if (account.contract == static_cast<int>(c)) {
        const auto s = static_cast<std::size_t>(account.scenario);
        delivered[s] = account.delivered_t;
        accepted[s] = account.accepted_t;
        made_good[s] = account.made_good_t;
        cost[s] = account.cost;
      }
    block.delivered_t = range_where_defined(delivered, result.weight);
    block.accepted_t = range_where_defined(accepted, result.weight);
    block.made_good_t = range_where_defined(made_good, result.weight);
    block.cost = range_where_defined(cost, result.weight);
    blocks.push_back(block);
  }
  return blocks;
}

PlanDocument::Supply supply_block(const SupplyScenarios& supply) {
  PlanDocument::Supply block;
  std::vector<double> total, weights, year_sum(supply.years.size(), 0), year_count(supply.years.size(), 0);
  for (const auto& scenario : supply.scenarios) {
    double t = 0;
    for (const auto& contract : scenario.contracts) t += contract.qualifying_t;
    total.push_back(t);
    weights.push_back(scenario.weight);
    year_sum[static_cast<std::size_t>(scenario.year)] += t;
    year_count[static_cast<std::size_t>(scenario.year)] += 1;
  }
  block.qualifying_t = range_where_defined(total, weights);
  for (std::size_t y = 0; y < supply.years.size(); ++y)
    block.by_year.push_back({supply.years[y], year_sum[y] / std::max(year_count[y], 1.0)});
  block.if_regions_were_independent = supply.independent_total_qualifying;
  block.one_in_twenty_t = weighted_quantile(total, weights, 0.05);
  block.one_in_twenty_if_independent_t = supply.independent_p5_t;
  block.sampling_p10 = {supply.sampling_p10.lo, supply.sampling_p10.hi};
  block.sampling_p50 = {supply.sampling_p50.lo, supply.sampling_p50.hi};
  block.sampling_p90 = {supply.sampling_p90.lo, supply.sampling_p90.hi};
  return block;
}

}  // namespace rickyard
