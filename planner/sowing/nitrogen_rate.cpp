#include "planner/sowing/nitrogen_rate.h"

#include <fmt/format.h>

#include <cmath>

#include "planner/sowing/year_figures.h"

namespace rickyard {
namespace {

constexpr int kStepKg = 10, kFarthestKg = 60;

struct Base {
  const Season& one;
  const HarvestForecast& forecast;
  const std::vector<double>& weights;
};

RateEffect effect(const Base& base, double yield_factor, double n_shift_pct) {
  SowingResult result;
  set_ranges(year_figures(base.one, base.forecast, yield_factor, n_shift_pct), base.weights, result);
  return {result.n_pct.mean, result.n_share.mean, result.qualifying_share.mean, result.qualifying_t_ha.mean};
}

// The rate with most accepted t/ha; the lowest of equals.
double best_rate(const std::vector<RateRow>& rows, RateEffect RateRow::*answer) {
  const RateRow* best = &rows.front();
  for (const auto& row : rows)
    if ((row.*answer).accepted_t_ha > (best->*answer).accepted_t_ha + 1e-12) best = &row;
  return best->n_rate_kg_ha;
}

std::string words(const RateWhatIf& what) {
  return fmt::format(
      "Arithmetic on published slopes: 0.1 % more grain nitrogen for every {:g} kg N/ha ({:g} and {:g} shown beside it), one t/ha more for "
      "every {:g} kg within the table's yields. The table says how much nitrogen a higher yield takes up; it does not promise the yield "
      "for the nitrogen. Accepted = yield x share that qualifies. It is no dose: local rules and a qualified adviser decide.",
      what.kg_per_tenth, what.kg_per_tenth_strong, what.kg_per_tenth_weak, what.kg_per_t);
}

}  // namespace

RateWhatIf rate_what_if(const Season& one, const HarvestForecast& forecast, const std::vector<double>& weights) {
  const auto& p = one.parameters;
  RateWhatIf out;
  out.n_rate_kg_ha = one.contracts.front().n_rate_kg_ha.value_or(p["n_rate_reference_kg_ha"]);
  out.kg_per_tenth = p["n_rate_kg_per_tenth"];
  out.kg_per_tenth_strong = p["n_rate_kg_per_tenth_low"];
  out.kg_per_tenth_weak = p["n_rate_kg_per_tenth_high"];
  out.kg_per_t = p["n_rate_kg_per_t"];
  const Base base{one, forecast, weights};
  const double yield = weighted_mean(year_figures(one, forecast).yield_t_ha, weights);
  for (int change = -kFarthestKg; change <= kFarthestKg; change += kStepKg) {
    RateRow row;
    row.change_kg_ha = change;
    row.n_rate_kg_ha = out.n_rate_kg_ha + change;
    if (row.n_rate_kg_ha < 0) continue;
    row.yield_t_ha = yield_of_rate(yield, change, out.kg_per_t, p["n_rate_yield_min_t_ha"], p["n_rate_yield_max_t_ha"]);
    row.at_table_end = std::abs(row.yield_t_ha - (yield + change / out.kg_per_t)) > 1e-9;
    const double factor = yield > 0 ? row.yield_t_ha / yield : 1;
    row.middle = effect(base, factor, 0.1 * change / out.kg_per_tenth);
    row.strong = effect(base, factor, 0.1 * change / out.kg_per_tenth_strong);
    row.weak = effect(base, factor, 0.1 * change / out.kg_per_tenth_weak);
    out.rows.push_back(row);
  }
  out.best_middle_kg_ha = best_rate(out.rows, &RateRow::middle);
  out.best_strong_kg_ha = best_rate(out.rows, &RateRow::strong);
  out.best_weak_kg_ha = best_rate(out.rows, &RateRow::weak);
  out.words = words(out);
  return out;
}

}  // namespace rickyard
