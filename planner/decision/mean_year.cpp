// A season planned as if the mean year were certain, then lived in every year.
#include <cmath>
#include <map>
#include <tuple>

#include "planner/decision/choice.h"

namespace rickyard {
namespace {

using std::size_t;

// Every figure of the programme's scenarios averaged: tonnes by weight, nitrogen and screenings of a band by its tonnes.
SupplyScenarios mean_supply(const ProgrammeTerms& terms) {
  const auto& supply = terms.supply;
  SupplyScenarios out;
  out.years = {supply.years.front()};
  out.year_weights = {1};
  out.reference = supply.reference;
  Scenario mean;
  mean.weight = 1;
  mean.in_programme = true;
  mean.demand_factor = 0;
  mean.contracts.resize(terms.season.contracts.size());
  mean.backups.resize(terms.season.backups.size());
  for (auto& backup : mean.backups) backup = {0, 0};
  const size_t years = supply.years.size();
  out.harvested_day.assign(mean.contracts.size(), 0);
  std::vector<double> n_t(mean.contracts.size(), 0), accepted_n_t(n_t), screenings_t(n_t);
  std::vector<std::array<double, kBands>> band_n(n_t.size()), band_screenings(n_t.size()), band_excess(n_t.size());
  for (size_t s = 0; s < terms.weight.size(); ++s) {
    const double w = terms.weight[s];
    const auto& from = supply.scenarios[static_cast<size_t>(terms.scenario_of[s])];
    mean.demand_factor += w * from.demand_factor;
    mean.home_shortage += w * from.home_shortage;
    for (size_t b = 0; b < mean.backups.size(); ++b) {
      mean.backups[b].cap_factor += w * from.backups[b].cap_factor;
      mean.backups[b].price_per_t += w * from.backups[b].price_per_t;
    }
    for (size_t c = 0; c < mean.contracts.size(); ++c) {
      const auto& g = from.contracts[c];
      auto& m = mean.contracts[c];
      m.harvested_ha += w * g.harvested_ha;
      m.offered_t += w * g.offered_t;
      m.qualifying_t += w * g.qualifying_t;
      m.with_claim_t += w * g.with_claim_t;
      m.rejected_nitrogen_t += w * g.rejected_nitrogen_t;
      m.rejected_screenings_t += w * g.rejected_screenings_t;
      m.rejected_germination_t += w * g.rejected_germination_t;
      m.rejected_other_t += w * g.rejected_other_t;
      n_t[c] += w * g.offered_t * g.n_pct;
      screenings_t[c] += w * g.offered_t * g.screenings_pct;
      if (g.qualifying_t > 0) accepted_n_t[c] += w * g.qualifying_t * g.n_accepted_pct;
      for (size_t k = 0; k < kBands; ++k) {
        m.band_t[k] += w * g.band_t[k];
        band_n[c][k] += w * g.band_t[k] * g.band_n_pct[k];
        band_screenings[c][k] += w * g.band_t[k] * g.band_screenings_pct[k];
        band_excess[c][k] += w * g.band_t[k] * g.band_screenings_excess_pct[k];
      }
      out.harvested_day[c] += w * supply.harvested_day[c * years + static_cast<size_t>(from.year)];
    }
  }
  for (size_t c = 0; c < mean.contracts.size(); ++c) {
    auto& m = mean.contracts[c];
    m.yield_t_ha = m.harvested_ha > 0 ? m.offered_t / m.harvested_ha : 0;
    m.n_pct = m.offered_t > 0 ? n_t[c] / m.offered_t : 0;
    m.screenings_pct = m.offered_t > 0 ? screenings_t[c] / m.offered_t : 0;
    m.n_accepted_pct = m.qualifying_t > 0 ? accepted_n_t[c] / m.qualifying_t : std::nan("");
    for (size_t k = 0; k < kBands; ++k) {
      if (!(m.band_t[k] > 0)) continue;
      m.band_n_pct[k] = band_n[c][k] / m.band_t[k];
      m.band_screenings_pct[k] = band_screenings[c][k] / m.band_t[k];
      m.band_screenings_excess_pct[k] = band_excess[c][k] / m.band_t[k];
    }
  }
  out.scenarios = {mean};
  return out;
}

// A column of the first stage that speaks of no scenario, by what it stands for.
using Name = std::tuple<int, int, int, int>;
std::map<Name, int> shared_columns(const Programme& programme) {
  std::map<Name, int> out;
  for (int j = 0; j < programme.first_columns(); ++j) {
    const auto& c = programme.columns[static_cast<size_t>(j)];
    if (c.scenario < 0) out[{static_cast<int>(c.kind), c.month, c.heap, c.line}] = j;
  }
  return out;
}

}  // namespace

std::optional<double> cost_of_planning_for_the_mean(Choice& choice, const TwoStageSolution& best, const Season& season,
                                                    const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need) {
  const auto supply = mean_supply(choice.terms());
  Season certain = season;
  certain.risk.p.reset();
  certain.risk.unmet_max_t.reset();
  certain.risk.co2e_max_t.reset();
  const auto terms = programme_terms(certain, patch, forecast, need, supply, Contracts::open);
  const auto programme = build_programme(terms);
  DecompositionOptions options;
  options.threads = 1;
  const auto planned = Decomposition(programme.problem, options).solve();
  if (!planned.found) return {};
  const auto names = shared_columns(programme);
  std::vector<std::pair<int, double>> held;
  for (const auto& [name, column] : shared_columns(choice.programme()))
    if (const auto found = names.find(name); found != names.end()) held.emplace_back(column, planned.x[static_cast<size_t>(found->second)]);
  const auto lived = choice.solve_holding(held);
  if (!lived.found) return {};
  const double lambda = choice.programme().problem.lambda;
  return std::max(0.0, choice.objective(lived, lambda) - choice.objective(best, lambda));
}

}  // namespace rickyard
