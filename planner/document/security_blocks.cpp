// How safe the plan is and what it hangs on: chances by month, the store, few contracts, claim lines, the failure, carbon.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

#include "planner/document/build_document.h"
#include "planner/document/tonne_words.h"
#include "planner/sourcing/programme_terms.h"

namespace rickyard {
namespace {

constexpr std::size_t kLargest = 5;   // contracts that are looked at together
constexpr double kFullShare = 0.999;  // of capacity: a store this full takes no more
constexpr double kHalfTonne = 0.5;    // what words call nothing

using PerScenario = std::vector<double>;  // [programme scenario]

std::size_t at(int i) { return static_cast<std::size_t>(i); }

PerScenario zeros(const SourcingResult& result) { return PerScenario(result.weight.size(), 0.0); }

double demand_factor(const DocumentInput& in, std::size_t s) { return in.supply.scenarios[at(in.sourcing.scenario_of[s])].demand_factor; }

std::map<Month, double> need_by_month(const DocumentInput& in) {
  std::map<Month, double> need;
  for (const auto& row : in.need.by_month) need[row.month] += row.reference_t;
  return need;
}

// Scenarios that are not covered: over 0.1 % of their need unmet.
std::vector<char> uncovered(const DocumentInput& in) {
  double need = 0;
  for (const auto& row : in.need.by_month) need += row.reference_t;
  const auto unmet = unmet_by_scenario(in.sourcing);
  std::vector<char> out;
  for (std::size_t s = 0; s < unmet.size(); ++s) out.push_back(unmet[s] > kCoveredShare * need * demand_factor(in, s));
  return out;
}

// Grain of the heap stands in the store, not on a farm, and is not rejected grain on its way out.
bool in_store(const Season& season, const Heap& heap) {
  if (heap.from != Heap::From::contract) return true;
  const auto& row = season.contracts[at(heap.index)];
  return heap.band >= 0 && !(row.held == Held::farm && !row.delivery_share);
}

// Weather years by kind where there is weather; else the third of drawn years with the least qualifying grain.
std::vector<char> driest_third(const DocumentInput& in, const std::vector<PlanDocument::WeatherYear>& years, std::string& told_by) {
  std::vector<char> dry(in.supply.years.size(), 0);
  told_by = "April-July rain";
  bool any = false;
  for (std::size_t y = 0; y < years.size() && y < dry.size(); ++y) any |= (dry[y] = years[y].kind == "dry") != 0;
  if (any) return dry;
  told_by = "qualifying grain";
  std::vector<double> sum(dry.size(), 0), count(dry.size(), 0);
  for (const auto& scenario : in.supply.scenarios) {
    count[at(scenario.year)] += 1;
    for (const auto& contract : scenario.contracts) sum[at(scenario.year)] += contract.qualifying_t;
  }
  for (std::size_t y = 0; y < sum.size(); ++y) sum[y] /= std::max(count[y], 1.0);
  std::vector<std::size_t> order(dry.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return sum[a] < sum[b]; });
  for (std::size_t i = 0; i < order.size(); ++i) dry[order[i]] = 3 * i < order.size();
  return dry;
}

// Mean qualifying tonnes of every contract row over the supply scenarios of the years that count.
std::vector<double> mean_qualifying(const DocumentInput& in, const std::vector<char>& counts) {
  std::vector<double> t(in.season.contracts.size(), 0);
  double weight = 0;
  for (const auto& scenario : in.supply.scenarios) {
    if (!counts[at(scenario.year)]) continue;
    weight += scenario.weight;
    for (std::size_t c = 0; c < t.size() && c < scenario.contracts.size(); ++c)
      t[c] += scenario.weight * scenario.contracts[c].qualifying_t;
  }
  for (double& one : t) one /= weight > 0 ? weight : 1;
  return t;
}

double share_of(const std::vector<double>& t, const std::vector<std::size_t>& chosen) {
  const double all = std::accumulate(t.begin(), t.end(), 0.0);
  double part = 0;
  for (std::size_t c : chosen) part += t[c];
  return all > 0 ? part / all : 0;
}

// The first rule that a row of the line gives; empty: any grain.
std::string origin_rule(const Season& season, const std::string& line) {
  for (const auto& row : season.demand)
    if (row.line == line && !row.origin_rule.empty()) return row.origin_rule;
  return "";
}

std::string claim_words(const PlanDocument::ClaimLine& block) {
  std::string words = fmt::format("{} is filled with {} grain only: {} from anywhere else in any year", block.line, block.origin_rule,
                                  block.topped_up_t > kHalfTonne ? tonne_words(block.topped_up_t) : "none");
  if (block.unmet_t.mean <= kHalfTonne) return words + "; it is short in no year to speak of";
  return words + fmt::format("; short by {} on average, by {} or more 1 year in 10, and left short rather than topped up",
                             tonne_words(block.unmet_t.mean), tonne_words(block.unmet_t.p90));
}

// How far the grain of one source lies below its own mean over the scenarios that fail.
struct Below {
  std::string source;
  double t = 0;
};

Below furthest_below(const DocumentInput& in, const std::vector<char>& fails, double chance) {
  const auto& weight = in.sourcing.weight;
  Below worst;
  const auto look = [&](const std::string& source, const PerScenario& t) {
    double all = 0, failing = 0;
    for (std::size_t s = 0; s < t.size(); ++s) {
      all += weight[s] * t[s];
      if (fails[s]) failing += weight[s] * t[s];
    }
    if (const double below = all - failing / chance; below > worst.t) worst = {source, below};
  };
  for (std::size_t c = 0; c < in.season.contracts.size(); ++c) {
    auto t = zeros(in.sourcing);
    for (std::size_t s = 0; s < t.size(); ++s) t[s] = in.supply.scenarios[at(in.sourcing.scenario_of[s])].contracts[c].qualifying_t;
    look(in.season.contracts[c].contract, t);
  }
  for (std::size_t b = 0; b < in.season.backups.size(); ++b) {
    const auto& row = in.season.backups[b];
    const double months = static_cast<double>(in.sourcing.months.size());
    const double cap = std::min(row.cap_t_season.value_or(1e30), months * row.cap_t_month.value_or(0)) * row.accept_share.value_or(1);
    auto t = zeros(in.sourcing);
    for (std::size_t s = 0; s < t.size(); ++s) {
      const auto& backups = in.supply.scenarios[at(in.sourcing.scenario_of[s])].backups;
      if (b < backups.size()) t[s] = cap * backups[b].cap_factor;
    }
    look(row.source, t);
  }
  return worst;
}

}  // namespace

PlanDocument::Solution solution_block(const DocumentInput& in) {
  const bool stopped = in.sourcing.status == SolveStatus::stopped || (in.answers && !in.answers->decision.proved);
  return {stopped ? "stopped" : "optimal", std::max(in.sourcing.gap, in.answers ? in.answers->decision.gap : 0.0)};
}

std::vector<PlanDocument::MonthChance> month_chances(const DocumentInput& in) {
  const auto& result = in.sourcing;
  std::map<Month, PerScenario> unmet;
  for (const auto& figure : result.unmet)
    unmet.try_emplace(figure.month, zeros(result)).first->second[at(figure.scenario)] += figure.t_equiv;
  std::vector<char> met_until(result.weight.size(), 1);
  std::vector<PlanDocument::MonthChance> blocks;
  for (const auto& [month, need] : need_by_month(in)) {
    PlanDocument::MonthChance block{month, need, 0, 0};
    const auto found = unmet.find(month);
    for (std::size_t s = 0; s < met_until.size(); ++s) {
      const bool met = found == unmet.end() || found->second[s] <= kCoveredShare * need * demand_factor(in, s);
      met_until[s] = met_until[s] && met;
      if (met) block.chance_met += result.weight[s];
      if (met_until[s]) block.chance_met_until += result.weight[s];
    }
    blocks.push_back(block);
  }
  return blocks;
}

PlanDocument::Store store_block(const DocumentInput& in) {
  const auto& result = in.sourcing;
  PlanDocument::Store block;
  if (!in.season.stores.empty()) {
    block.capacity_t = 0;
    for (const auto& row : in.season.stores) *block.capacity_t += row.capacity_t;
  }
  std::map<Month, PerScenario> held;
  for (const Month& month : result.months) held.try_emplace(month, zeros(result));
  for (const auto& figure : result.stock)
    if (in_store(in.season, result.heaps[at(figure.heap)]))
      held.try_emplace(figure.month, zeros(result)).first->second[at(figure.scenario)] += figure.closing_t;
  std::vector<char> ever(result.weight.size(), 0);
  for (const auto& [month, t] : held) {
    PlanDocument::StoreMonth row{month, range_where_defined(t, result.weight), 0};
    for (std::size_t s = 0; s < t.size(); ++s) {
      if (!block.capacity_t || !(*block.capacity_t > 0) || t[s] < kFullShare * *block.capacity_t) continue;
      row.chance_full += result.weight[s];
      ever[s] = 1;
    }
    block.by_month.push_back(row);
  }
  for (std::size_t s = 0; s < ever.size(); ++s)
    if (ever[s]) block.chance_full += result.weight[s];
  return block;
}

PlanDocument::Dependence dependence_block(const DocumentInput& in, const std::vector<PlanDocument::WeatherYear>& years) {
  PlanDocument::Dependence block;
  const auto dry = driest_third(in, years, block.driest);
  const auto mean = mean_qualifying(in, std::vector<char>(in.supply.years.size(), 1));
  std::vector<std::size_t> order(mean.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return mean[a] > mean[b]; });
  order.resize(std::min(order.size(), kLargest));
  for (std::size_t c : order) block.largest.push_back({in.season.contracts[c].contract, share_of(mean, {c})});
  block.share = share_of(mean, order);
  block.share_in_driest = share_of(mean_qualifying(in, dry), order);
  return block;
}

std::vector<PlanDocument::ClaimLine> claim_line_blocks(const DocumentInput& in) {
  const auto& result = in.sourcing;
  std::vector<PlanDocument::ClaimLine> blocks;
  for (const auto& line : result.lines) {
    PlanDocument::ClaimLine block;
    block.line = line;
    block.origin_rule = origin_rule(in.season, line);
    if (block.origin_rule.empty()) continue;
    for (const auto& row : in.need.by_month)
      if (row.line == line) block.need_t += row.reference_t;
    auto filled = zeros(result), unmet = zeros(result), others = zeros(result);
    for (const auto& flow : result.flows) {
      const auto s = at(flow.scenario);
      if (result.lines[at(flow.line)] != line) {
        others[s] += flow.t_equiv;
        continue;
      }
      filled[s] += flow.t_equiv;
      if (!carries(result.heaps[at(flow.heap)], block.origin_rule)) block.topped_up_t += result.weight[s] * flow.t;
    }
    for (const auto& figure : result.unmet)
      if (result.lines[at(figure.line)] == line) unmet[at(figure.scenario)] += figure.t_equiv;
    double short_weight = 0;
    for (std::size_t s = 0; s < unmet.size(); ++s) {
      if (unmet[s] <= kCoveredShare * block.need_t) continue;
      short_weight += result.weight[s];
      block.others_filled_while_short_t += result.weight[s] * others[s];
    }
    if (short_weight > 0) block.others_filled_while_short_t /= short_weight;
    block.filled_t = range_where_defined(filled, result.weight);
    block.unmet_t = range_where_defined(unmet, result.weight);
    block.words = claim_words(block);
    blocks.push_back(block);
  }
  return blocks;
}

PlanDocument::Failure failure_block(const DocumentInput& in) {
  const auto& result = in.sourcing;
  const auto fails = uncovered(in);
  PlanDocument::Failure block;
  for (std::size_t s = 0; s < fails.size(); ++s)
    if (fails[s]) block.chance += result.weight[s];
  block.words = "no year to speak of runs short";
  if (block.chance <= 0) return block;
  const auto unmet = unmet_by_scenario(result);
  for (std::size_t s = 0; s < fails.size(); ++s)
    if (fails[s]) block.unmet_t += result.weight[s] * unmet[s] / block.chance;
  for (const auto& figure : result.costs)
    if (fails[at(figure.scenario)] && figure.part == CostPart::unmet)
      block.unmet_cost += result.weight[at(figure.scenario)] * figure.amount / block.chance;
  for (const auto& figure : result.unmet)
    if (fails[at(figure.scenario)] && (!block.first_month || figure.month < *block.first_month)) block.first_month = figure.month;
  const auto below = furthest_below(in, fails, block.chance);
  block.source = below.source;
  block.source_below_t = below.t;
  block.words = fmt::format("where it runs short, the first month is {}, {} are missing on average", to_text(*block.first_month),
                            tonne_words(block.unmet_t));
  if (!block.source.empty())
    block.words += fmt::format(", and {} is {} below its own mean, more than any other source", block.source, tonne_words(below.t));
  return block;
}

PlanDocument::Carbon carbon_block(const DocumentInput& in) {
  const auto& result = in.sourcing;
  std::vector<double> contract_t(in.season.contracts.size(), 0), backup_t(in.season.backups.size(), 0);
  for (const auto& account : result.accounts) contract_t[at(account.contract)] += result.weight[at(account.scenario)] * account.accepted_t;
  for (const auto& purchase : result.purchases) backup_t[at(purchase.backup)] += result.weight[at(purchase.scenario)] * purchase.t;
  PlanDocument::Carbon block;
  const auto add = [&](const std::string& source, const char* kind, double t, const std::optional<double>& kg) {
    block.by_source.push_back({source, kind, t, kg, t * kg.value_or(0) / 1000});
    block.total_t_co2e += block.by_source.back().co2e_t;
    if (!kg) block.tonnes_without_figure += t;
  };
  for (std::size_t c = 0; c < contract_t.size(); ++c)
    add(in.season.contracts[c].contract, "contract", contract_t[c], in.season.contracts[c].kg_co2e_per_t);
  for (std::size_t b = 0; b < backup_t.size(); ++b)
    add(in.season.backups[b].source, "backup", backup_t[b], in.season.backups[b].kg_co2e_per_t);
  return block;
}

}  // namespace rickyard
