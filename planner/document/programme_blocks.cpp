// Need, cover, months, stock and cost of the plan document: what the sourcing programme decided.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

#include "planner/document/build_document.h"
#include "planner/sourcing/programme_terms.h"

namespace rickyard {
namespace {

constexpr double kMissing = std::numeric_limits<double>::quiet_NaN();

using PerScenario = std::vector<double>;  // [programme scenario]

PerScenario zeros(const SourcingResult& result) { return PerScenario(result.weight.size(), 0.0); }

double demand_factor(const DocumentInput& in, std::size_t s) {
  return in.supply.scenarios[static_cast<std::size_t>(in.sourcing.scenario_of[s])].demand_factor;
}

std::size_t year_of(const DocumentInput& in, std::size_t s) {
  return static_cast<std::size_t>(in.supply.scenarios[static_cast<std::size_t>(in.sourcing.scenario_of[s])].year);
}

// Mean over the programme draws of each weather year, in the order of the years.
std::vector<double> by_year(const DocumentInput& in, const PerScenario& values) {
  std::vector<double> sum(in.supply.years.size(), 0), count(in.supply.years.size(), 0);
  for (std::size_t s = 0; s < values.size(); ++s) {
    sum[year_of(in, s)] += values[s];
    count[year_of(in, s)] += 1;
  }
  for (std::size_t y = 0; y < sum.size(); ++y) sum[y] /= std::max(count[y], 1.0);
  return sum;
}

// Heaps shown as one: the same origin, source and crop year.
struct BlendKey {
  std::string origin, source;
  int crop_year;
  auto operator<=>(const BlendKey&) const = default;
};

struct LineMonth {
  std::map<std::size_t, PerScenario> t, t_equiv;  // by blend key number
  PerScenario used, n_t, unmet;
};

// Blend keys in the order of the heaps, so that home regions come first and overseas last.
std::vector<BlendKey> blend_keys(const SourcingResult& result, std::vector<std::size_t>& key_of_heap) {
  std::vector<BlendKey> keys;
  for (const auto& heap : result.heaps) {
    const BlendKey key{heap.origin, heap.source, heap.crop_year};
    auto at = std::find(keys.begin(), keys.end(), key);
    if (at == keys.end()) at = keys.insert(keys.end(), key);
    key_of_heap.push_back(static_cast<std::size_t>(at - keys.begin()));
  }
  return keys;
}

PlanDocument::Blend blend_block(const DocumentInput& in, const BlendKey& key, const PerScenario& t, const PerScenario& t_equiv,
                                const PerScenario& used) {
  const auto& weights = in.sourcing.weight;
  PlanDocument::Blend blend{key.origin, key.source, key.crop_year, {}, {}, {}, by_year(in, t)};
  blend.t = range_where_defined(t, weights);
  blend.t_equiv = range_where_defined(t_equiv, weights);
  PerScenario share(t.size(), kMissing);
  double used_sum = 0, t_sum = 0;
  for (std::size_t s = 0; s < t.size(); ++s) {
    if (used[s] > 0) share[s] = t[s] / used[s];
    used_sum += weights[s] * used[s];
    t_sum += weights[s] * t[s];
  }
  blend.share = range_where_defined(share, weights);
  blend.share.mean = used_sum > 0 ? t_sum / used_sum : kMissing;  // share of what was used, not the mean of shares
  return blend;
}

// Unmet tonnes of each programme scenario by month, all lines together.
std::map<Month, PerScenario> unmet_by_month(const SourcingResult& result) {
  std::map<Month, PerScenario> unmet;
  for (const auto& figure : result.unmet) {
    auto& row = unmet.try_emplace(figure.month, zeros(result)).first->second;
    row[static_cast<std::size_t>(figure.scenario)] += figure.t_equiv;
  }
  return unmet;
}

}  // namespace

PlanDocument::Need need_block(const Need& need) {
  PlanDocument::Need block{need.spirit_lpa, need.malt_t, need.barley_t, {}, {}};
  for (const auto& step : need.steps) block.steps.push_back({step.name, step.factor, step.status});
  for (const auto& row : need.by_month) block.by_month.push_back({row.month, row.line, row.reference_t});
  return block;
}

PlanDocument::Cover cover_block(const DocumentInput& in) {
  const auto& result = in.sourcing;
  PlanDocument::Cover block;
  PerScenario backup = zeros(result), surplus = zeros(result), need = zeros(result);
  for (const auto& purchase : result.purchases) backup[static_cast<std::size_t>(purchase.scenario)] += purchase.t;
  for (const auto& figure : result.stock) surplus[static_cast<std::size_t>(figure.scenario)] += figure.sold_t;
  const PerScenario unmet = unmet_by_scenario(result);
  std::map<Month, double> need_by_month;
  for (const auto& row : in.need.by_month) need_by_month[row.month] += row.reference_t;
  for (std::size_t s = 0; s < need.size(); ++s)
    for (const auto& [month, t] : need_by_month) need[s] += t * demand_factor(in, s);
  block.backup_t = range_where_defined(backup, result.weight);
  block.unmet_t = range_where_defined(unmet, result.weight);
  block.surplus_t = range_where_defined(surplus, result.weight);

  // The first month short of a scenario that is not covered: the first with over 0.1 % of its need unmet, else the first with any.
  const auto by_month = unmet_by_month(result);
  std::map<Month, double> first;
  for (std::size_t s = 0; s < need.size(); ++s) {
    if (unmet[s] <= kCoveredShare * need[s]) {
      block.chance_covered += result.weight[s];
      continue;
    }
    const auto first_over = [&](double share) {
      return std::find_if(by_month.begin(), by_month.end(), [&](const auto& entry) {
        const auto found = need_by_month.find(entry.first);
        const double month_need = found == need_by_month.end() ? 0 : found->second * demand_factor(in, s);
        return entry.second[s] > share * month_need && entry.second[s] > 0;
      });
    };
    auto at = first_over(kCoveredShare);
    if (at == by_month.end()) at = first_over(0);
    if (at != by_month.end()) first[at->first] += result.weight[s];
  }
  for (const auto& [month, probability] : first) block.first_unmet_month.push_back({month, probability});
  block.never = block.chance_covered;
  block.by_month = month_chances(in);
  return block;
}

std::vector<PlanDocument::MonthBlock> month_blocks(const DocumentInput& in) {
  const auto& result = in.sourcing;
  std::vector<std::size_t> key_of_heap;
  const auto keys = blend_keys(result, key_of_heap);
  std::map<std::pair<Month, std::size_t>, LineMonth> table;
  const auto cell = [&](const Month& month, int line) -> LineMonth& {
    auto [at, fresh] = table.try_emplace({month, static_cast<std::size_t>(line)});
    if (fresh) at->second.used = at->second.n_t = at->second.unmet = zeros(result);
    return at->second;
  };
  for (const auto& flow : result.flows) {
    auto& row = cell(flow.month, flow.line);
    const auto s = static_cast<std::size_t>(flow.scenario);
    const std::size_t key = key_of_heap[static_cast<std::size_t>(flow.heap)];
    row.t.try_emplace(key, zeros(result)).first->second[s] += flow.t;
    row.t_equiv.try_emplace(key, zeros(result)).first->second[s] += flow.t_equiv;
    row.used[s] += flow.t;
    row.n_t[s] += flow.t * flow.n_pct;
  }
  for (const auto& figure : result.unmet)
    cell(figure.month, figure.line).unmet[static_cast<std::size_t>(figure.scenario)] += figure.t_equiv;

  std::vector<PlanDocument::MonthBlock> blocks;
  for (const auto& need : in.need.by_month) {
    const auto line = std::find(result.lines.begin(), result.lines.end(), need.line) - result.lines.begin();
    const auto& row = cell(need.month, static_cast<int>(line));
    PlanDocument::MonthBlock block{
        need.month, need.line, need.reference_t, range_where_defined(row.unmet, result.weight), by_year(in, row.unmet), {}, {}};
    PerScenario n = zeros(result);
    for (std::size_t s = 0; s < n.size(); ++s) n[s] = row.used[s] > 0 ? row.n_t[s] / row.used[s] : kMissing;
    block.n_pct = range_where_defined(n, result.weight);
    for (const auto& [key, t] : row.t) block.blend.push_back(blend_block(in, keys[key], t, row.t_equiv.at(key), row.used));
    blocks.push_back(block);
  }
  return blocks;
}

std::vector<PlanDocument::StockBlock> stock_blocks(const DocumentInput& in) {
  const auto& result = in.sourcing;
  struct Sums {
    PerScenario opening, arrivals, used, lost, sold, closing;
  };
  // Origins in heap order, months ascending.
  std::vector<std::pair<std::string, int>> groups;
  for (const auto& heap : result.heaps)
    if (std::find(groups.begin(), groups.end(), std::pair{heap.origin, heap.crop_year}) == groups.end())
      groups.emplace_back(heap.origin, heap.crop_year);
  std::map<std::pair<Month, std::size_t>, Sums> table;
  for (const auto& figure : result.stock) {
    const auto& heap = result.heaps[static_cast<std::size_t>(figure.heap)];
    const auto group =
        static_cast<std::size_t>(std::find(groups.begin(), groups.end(), std::pair{heap.origin, heap.crop_year}) - groups.begin());
    auto [at, fresh] = table.try_emplace({figure.month, group});
    auto& sums = at->second;
    if (fresh) sums.opening = sums.arrivals = sums.used = sums.lost = sums.sold = sums.closing = zeros(result);
    const auto s = static_cast<std::size_t>(figure.scenario);
    sums.opening[s] += figure.opening_t;
    sums.arrivals[s] += figure.arrivals_t;
    sums.used[s] += figure.used_t;
    sums.lost[s] += figure.lost_t;
    sums.sold[s] += figure.sold_t;
    sums.closing[s] += figure.closing_t;
  }
  std::vector<PlanDocument::StockBlock> blocks;
  const auto over = [&](const PerScenario& values) { return range_where_defined(values, result.weight); };
  for (const auto& [key, sums] : table)
    blocks.push_back({key.first, groups[key.second].first, groups[key.second].second, over(sums.opening), over(sums.arrivals),
                      over(sums.used), over(sums.lost), over(sums.sold), over(sums.closing)});
  return blocks;
}

PlanDocument::CostBlock cost_block(const DocumentInput& in) {
  const auto& result = in.sourcing;
  std::vector<PerScenario> parts(kCostParts, zeros(result));
  PerScenario total = zeros(result);
  for (const auto& figure : result.costs) {
    const auto s = static_cast<std::size_t>(figure.scenario);
    parts[static_cast<std::size_t>(figure.part)][s] += figure.amount;
    total[s] += figure.amount;
  }
  const auto part = [&](CostPart which) { return range_where_defined(parts[static_cast<std::size_t>(which)], result.weight); };
  PlanDocument::CostBlock block;
  block.total = range_where_defined(total, result.weight);
  block.lambda = in.season.risk.lambda.value_or(0.5);
  block.alpha = in.season.risk.alpha.value_or(0.9);
  block.cvar = weighted_cvar(total, result.weight, block.alpha);
  block.contracts = part(CostPart::contracts);
  block.purchases = part(CostPart::purchases);
  block.freight = part(CostPart::freight);
  block.options = part(CostPart::options);
  block.storage = part(CostPart::storage);
  block.interest = part(CostPart::interest);
  block.claims = part(CostPart::claims);
  block.rejects = part(CostPart::rejects);
  block.unmet = part(CostPart::unmet);
  block.outlets = part(CostPart::outlets);
  return block;
}

}  // namespace rickyard
