#include "planner/supply/make_scenarios.h"

#include <algorithm>
#include <atomic>
#include <cmath>

#include "planner/base/blocks.h"
#include "planner/base/draws.h"
#include "planner/supply/drawn_season.h"
#include "planner/supply/malting_yield.h"
#include "planner/supply/supply_reference.h"
#include "planner/supply/totals.h"

namespace rickyard {
namespace {

// Lowest and highest demand factor, each the mean over demand rows weighted by their reference barley.
std::pair<double, double> demand_range(const Season& season) {
  const auto yield = malting_yield(season);
  const double low = season.parameters["demand_low_factor"], high = season.parameters["demand_high_factor"];
  double weight = 0, low_sum = 0, high_sum = 0;
  for (const auto& row : season.demand) {
    const double t = row.amount / reference_output(yield, row.unit);
    weight += t;
    low_sum += t * row.low_factor.value_or(low);
    high_sum += t * row.high_factor.value_or(high);
  }
  return weight > 0 ? std::pair{low_sum / weight, high_sum / weight} : std::pair{low, high};
}

double demand_factor(const Season& season, const std::pair<double, double>& range, int year, int draw) {
  const double u =
      uniform_draw(season.seed, DrawPurpose::demand, {static_cast<std::uint32_t>(year), static_cast<std::uint32_t>(draw / 2), 0, 0});
  return range.first + (range.second - range.first) * (draw % 2 == 0 ? u : 1 - u);
}

ResidualModel residual_of(const Season& season, const HarvestForecast& forecast, const SupplyReference* reference) {
  if (!reference || reference->regions != static_cast<int>(contracted_regions(season).size())) return residual_model(season, forecast);
  return {reference->regions,  forecast.from_weather,  spread_target(season), reference->root,
          reference->model_sd, reference->residual_sd, reference->warnings};
}

// Days after season_start of the year before harvest.
std::vector<double> harvest_days(const Season& season, const HarvestForecast& forecast) {
  std::vector<double> days;
  const MonthDay fallback{static_cast<int>(season.parameters["default_harvest_month"]),
                          static_cast<int>(season.parameters["default_harvest_day"])};
  for (std::size_t c = 0; c < season.contracts.size(); ++c)
    for (std::size_t y = 0; y < forecast.years.size(); ++y) {
      const auto& dates = forecast.contracts[c].dates;
      const double modelled = y < dates.size() ? dates[y].harvested : -1;
      const auto start = day_number(in_year(season.season_start, season.crop_year - 1));
      const auto& usual = season.contracts[c].usual_harvest;
      const double usual_day = day_number(usual ? *usual : in_year(fallback, season.crop_year)) - start;
      days.push_back(modelled >= 0 ? modelled : usual_day);
    }
  return days;
}

struct YearLoop {
  const DrawnSeason& drawn;
  SupplyScenarios& out;
  HomeHarvest& home;
  std::vector<double>& regional_t;     // [scenario][region]
  std::vector<bool> lost;              // [contract]
  std::pair<double, double> demand{};  // range of its factor

  void run(int y) const {
    for (int d = 0; d < out.draws_per_year; ++d) {
      auto& scenario = out.scenarios[drawn.years.scenario(y, d)];
      scenario.year = y;
      scenario.draw = d;
      scenario.weight = drawn.years.weight(drawn.years.scenario(y, d));
      scenario.in_programme = d < out.programme_draws_per_year && scenario.weight > 0;
      scenario.demand_factor = demand_factor(drawn.season, demand, out.years[static_cast<std::size_t>(y)], d);
      scenario.contracts.resize(drawn.grain.size());
    }
    std::vector<ContractScenario> results;
    drawn.each_row(y, [&](ContractDraws& work, std::size_t c, int variant, const std::vector<int>& at, const RowDraws& draws) {
      const auto planned = std::count_if(at.begin(), at.end(),
                                         [&](int d) { return out.scenarios[drawn.years.scenario(y, d)].in_programme; });  // the first ones
      results.resize(draws.size());
      work.evaluate(drawn.grain[c], y, variant, draws, static_cast<std::size_t>(planned), results);
      for (std::size_t i = 0; i < at.size(); ++i) place(drawn.years.scenario(y, at[i]), c, results[i]);
    });
  }

  void place(std::size_t s, std::size_t c, const ContractScenario& result) const {
    home.offered_t[s] += result.offered_t;
    home.qualifying_t[s] += result.qualifying_t;
    out.scenarios[s].contracts[c] = lost[c] ? nothing(result) : result;
    const auto regions = static_cast<std::size_t>(drawn.residual.regions), r = static_cast<std::size_t>(drawn.grain[c].region);
    if (!lost[c]) regional_t[s * regions + r] += result.qualifying_t;
  }

  // A lost region delivers nothing; what is left of its row are the figures that are no tonnes.
  static ContractScenario nothing(const ContractScenario& whole) {
    ContractScenario none;
    none.n_pct = whole.n_pct;
    none.n_accepted_pct = std::nan("");
    none.screenings_pct = whole.screenings_pct;
    none.band_n_pct = whole.band_n_pct;
    none.band_screenings_pct = whole.band_screenings_pct;
    none.band_screenings_excess_pct = whole.band_screenings_excess_pct;
    return none;
  }
};

// Says so where the programme's few draws stand for another total than all draws.
void warn_of_thin_programme(const std::vector<double>& total_t, SupplyScenarios& out) {
  std::vector<double> few, few_weights, weights;
  for (std::size_t s = 0; s < total_t.size(); ++s) {
    weights.push_back(out.scenarios[s].weight);
    if (!out.scenarios[s].in_programme) continue;
    few.push_back(total_t[s]);
    few_weights.push_back(out.scenarios[s].weight);
  }
  const Range all = weighted_range(total_t, weights), used = weighted_range(few, few_weights);
  const auto differs = [](double a, double b) { return std::abs(a - b) > 0.01 * std::abs(b); };
  const auto percent = [](double a, double b) { return std::to_string(static_cast<long>(std::lround(1000 * (a / b - 1)) / 10)); };
  if (all.mean > 0 && differs(used.mean, all.mean))
    out.warnings.push_back("the programme's draws give a mean of qualifying grain that differs from all draws by " +
                           percent(used.mean, all.mean) + " %; more programme_draws_per_year would narrow it");
  if (all.p10 > 0 && differs(used.p10, all.p10))
    out.warnings.push_back("the programme's draws give a 1-in-10 low of qualifying grain that differs from all draws by " +
                           percent(used.p10, all.p10) + " %; more programme_draws_per_year would narrow it");
}

}  // namespace

SupplyScenarios make_scenarios(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, int threads,
                               Progress* progress, const SupplyReference* reference) {
  check_forecast(season, forecast);
  const ResidualModel residual = residual_of(season, forecast, reference);
  const DrawnSeason drawn(season, patch, forecast, residual);
  SupplyScenarios out;
  out.years = forecast.years;
  out.year_weights = forecast.weights;
  out.draws_per_year = drawn.years.draws_per_year;
  out.programme_draws_per_year = std::min(static_cast<int>(season.parameters["programme_draws_per_year"]), out.draws_per_year);
  const auto years = static_cast<int>(out.years.size());
  const std::size_t scenarios = drawn.years.scenarios();
  out.scenarios.resize(scenarios);
  out.warnings = residual.warnings;

  HomeHarvest home{std::vector<double>(scenarios, 0), std::vector<double>(scenarios, 0)};
  std::vector<double> regional_t(scenarios * static_cast<std::size_t>(residual.regions), 0);
  YearLoop loop{drawn, out, home, regional_t, {}, demand_range(season)};
  for (const auto& row : season.contracts)
    loop.lost.push_back(std::find(patch.regions_lost.begin(), patch.regions_lost.end(), row.region) != patch.regions_lost.end());
  std::atomic<int> done{0};
  for_each_block(years, threads, [&](int y) {
    loop.run(y);
    if (progress) progress->step(++done, years);
  });
  out.reference = reference_of(residual);
  if (reference && reference->mean_cap_factor.size() == season.backups.size()) {
    out.reference.mean_offered_t = reference->mean_offered_t;
    out.reference.sd_offered = reference->sd_offered;
    out.reference.mean_qualifying_t = reference->mean_qualifying_t;
    out.reference.mean_cap_factor = reference->mean_cap_factor;
  } else {
    measure(season, drawn.years, home, out.reference);
  }
  add_backups(season, patch, drawn.years, home, out);

  std::vector<double> total_t(scenarios, 0);
  for (std::size_t s = 0; s < scenarios; ++s)
    for (const auto& contract : out.scenarios[s].contracts) total_t[s] += contract.qualifying_t;
  const auto independent = independent_total(season, out, regional_t, residual.regions);
  out.independent_total_qualifying = independent.range;
  out.independent_p5_t = independent.p5;
  add_sampling(season, total_t, out);
  warn_of_thin_programme(total_t, out);
  out.harvested_day = harvest_days(season, forecast);
  return out;
}

}  // namespace rickyard
