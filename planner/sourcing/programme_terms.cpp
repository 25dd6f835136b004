#include "planner/sourcing/programme_terms.h"

#include <algorithm>
#include <cmath>

#include "planner/supply/contract_grain.h"

namespace rickyard {
namespace {

StorePool store_pool(const Season& season) {
  const auto& p = season.parameters;
  const double loss_year = p["store_loss_pct_year"], cost = p["storage_cost_per_t_month"];
  StorePool pool;
  pool.loss_month = loss_year / 100 / 12;
  pool.cost_per_t_month = cost;
  if (season.stores.empty()) return pool;
  double capacity = 0, loss = 0, money = 0, intake = 0, dry = 0, bins = 0;
  for (const auto& row : season.stores) {
    capacity += row.capacity_t;
    loss += row.capacity_t * row.loss_pct_year.value_or(loss_year);
    money += row.capacity_t * row.cost_per_t_month.value_or(cost);
    intake += row.intake_t_day.value_or(StorePool::kUnlimited);
    dry += row.dry_t_day.value_or(StorePool::kUnlimited);
    bins += row.bins.value_or(StorePool::kUnlimited);
  }
  pool.capacity_t = capacity;
  if (capacity > 0) {
    pool.loss_month = loss / capacity / 100 / 12;
    pool.cost_per_t_month = money / capacity;
  }
  pool.intake_t_day = intake;
  pool.dry_t_day = dry;
  pool.bins = bins;
  return pool;
}

std::vector<double> malting_capacity(const Season& season, const PlanMonths& plan, int months) {
  std::vector<double> capacity(static_cast<std::size_t>(months), season.maltings.empty() ? StorePool::kUnlimited : 0);
  for (int m = 0; m < months; ++m) {
    const Month month = add_months(plan.first, m);
    for (const auto& row : season.maltings) {
      const bool has_own = std::any_of(season.maltings.begin(), season.maltings.end(),
                                       [&](const MaltingRow& other) { return other.plant == row.plant && other.month == month; });
      if (row.month ? *row.month != month : has_own) continue;
      capacity[static_cast<std::size_t>(m)] += row.barley_t * std::max(0.0, 1 - row.shut_days.value_or(0) / days_in(month));
    }
  }
  return capacity;
}

std::vector<OutletTerms> outlet_terms(const Season& season, const Market& market, int months) {
  std::vector<OutletTerms> outlets;
  for (const auto& row : season.outlets)
    outlets.push_back({row.outlet, row.n_min_pct.value_or(-1e30), row.n_max_pct.value_or(1e30),
                       std::vector<double>(static_cast<std::size_t>(months), row.price_per_t),
                       row.cap_t_month.value_or(StorePool::kUnlimited)});
  OutletTerms feed;
  feed.name = "feed";
  for (double price : market.feed_per_t) feed.net_price_per_t.push_back(price - market.reject_haul_per_t);
  const double cap = season.parameters["feed_cap_t_month"];
  if (cap < 1e9) feed.cap_t_month = cap;
  outlets.push_back(std::move(feed));
  return outlets;
}

// Mean first day of use of this crop's contract grain, contracts and years weighted; the default harvest without contracts.
double mean_first_use(const ProgrammeTerms& terms) {
  double sum = 0, weight = 0;
  for (std::size_t s = 0; s < terms.scenario_of.size(); ++s) {
    const auto& scenario = terms.supply.scenarios[static_cast<std::size_t>(terms.scenario_of[s])];
    for (std::size_t c = 0; c < scenario.contracts.size(); ++c) {
      const double w = terms.weight[s] * scenario.contracts[c].qualifying_t;
      sum += w * harvest_day(terms, static_cast<int>(c), scenario);
      weight += w;
    }
  }
  const auto& p = terms.season.parameters;
  const MonthDay fallback{static_cast<int>(p["default_harvest_month"]), static_cast<int>(p["default_harvest_day"])};
  return (weight > 0 ? sum / weight : day_number(in_year(fallback, terms.season.crop_year))) + p["dormancy_days"];
}

// Next year's need from the end of the plan to the first use of its crop, plus the cover at the change of crop.
std::vector<std::pair<std::string, double>> closing_stock(const ProgrammeTerms& terms) {
  std::vector<std::pair<std::string, double>> closing;
  if (!terms.season.closing_t.empty()) return {terms.season.closing_t.begin(), terms.season.closing_t.end()};
  const double this_crop = mean_first_use(terms), end = day_number(last_day(terms.plan.last)) + 1;
  const double new_crop = end <= this_crop ? this_crop : this_crop + 365;
  const double days = std::max(0.0, new_crop + terms.season.parameters["change_cover_days"] - end);
  const int first = std::max(0, terms.months - 12);
  const double span = end - day_number(first_day(terms.month(first)));
  for (std::size_t l = 0; l < terms.lines.size(); ++l) {
    double need = 0;
    for (int m = first; m < terms.months; ++m) need += terms.need_t[l][static_cast<std::size_t>(m)];
    const auto& claim = terms.lines[l].origin_rule;
    auto at = std::find_if(closing.begin(), closing.end(), [&](const auto& c) { return c.first == claim; });
    if (at == closing.end()) at = closing.insert(closing.end(), {claim, 0.0});
    at->second += need / span * days;
  }
  return closing;
}

// A row that may still be signed and names hectares to choose from; a row of no hectares has nothing to scale.
std::vector<ContractChoice> contract_choice(const Season& season, Contracts contracts) {
  std::vector<ContractChoice> out;
  for (const auto& row : season.contracts) {
    ContractChoice choice;
    const double planted = planted_ha_of(row);
    if (contracts == Contracts::open && may_be_signed(season, row) && planted > 0)
      choice = {row.min_ha.value_or(planted) / planted, row.max_ha.value_or(planted) / planted};
    out.push_back(choice);
  }
  return out;
}

void set_largest(ProgrammeTerms& terms) {
  double all = 0, factor = 1;
  for (const auto& line : terms.need_t)
    for (double t : line) all += 2 * t;
  for (const auto& row : terms.season.stock) all += 2 * row.tonnes;
  for (const auto& [claim, t] : terms.closing_t) all += t;
  double most_grown = 0;
  for (int s : terms.scenario_of) {
    const auto& scenario = terms.supply.scenarios[static_cast<std::size_t>(s)];
    double grown = 0;
    for (std::size_t c = 0; c < scenario.contracts.size(); ++c)
      grown += 2 * terms.contract_choice[c].most * (scenario.contracts[c].offered_t + terms.season.contracts[c].contracted_t.value_or(0));
    most_grown = std::max(most_grown, grown);
    for (const auto& backup : scenario.backups) factor = std::max(factor, backup.cap_factor);
  }
  for (const auto& backup : terms.backups)
    for (double t : backup.committed_t) all += t + factor * backup.cap_t_month;
  terms.largest_cap_factor = factor;
  terms.largest_t = all + most_grown + 1;
}

}  // namespace

bool may_be_signed(const Season& season, const ContractRow& row) { return row.sign_by.value_or(season.as_of) >= season.as_of; }

bool ProgrammeTerms::contracts_are_open() const {
  return std::any_of(contract_choice.begin(), contract_choice.end(), [](const ContractChoice& c) { return c.least != c.most; });
}

int ProgrammeTerms::month_of_day(double day) const {
  return month_index(rickyard::month_of(date_of(static_cast<int>(std::floor(day))))) - month_index(plan.first);
}

bool carries(const Heap& heap, const std::string& origin_rule) {
  return origin_rule.empty() || heap.origin == origin_rule ||
         std::find(heap.claims.begin(), heap.claims.end(), origin_rule) != heap.claims.end();
}

double harvest_day(const ProgrammeTerms& terms, int contract, const Scenario& scenario) {
  const auto start = day_number(in_year(terms.season.season_start, terms.season.crop_year - 1));
  return start +
         terms.supply
             .harvested_day[static_cast<std::size_t>(contract) * terms.supply.years.size() + static_cast<std::size_t>(scenario.year)];
}

ProgrammeTerms programme_terms(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                               const SupplyScenarios& supply, Contracts contracts) {
  const auto plan = plan_months(season);
  const int months = month_index(plan.last) - month_index(plan.first) + 1;
  ProgrammeTerms terms{season,
                       patch,
                       forecast,
                       supply,
                       plan,
                       months,
                       line_terms(season),
                       {},
                       {},
                       malting_yield(season),
                       market(season, plan),
                       claim_terms(season, patch),
                       store_pool(season),
                       malting_capacity(season, plan, months),
                       {},
                       {},
                       {},
                       {},
                       {},
                       {},
                       1,
                       0,
                       0,
                       0,
                       {}};
  terms.outlets = outlet_terms(season, terms.market, months);
  terms.need_t.assign(terms.lines.size(), std::vector<double>(static_cast<std::size_t>(months), 0));
  for (std::size_t i = 0; i < need.by_month.size(); ++i)
    terms.need_t[i % terms.lines.size()][i / terms.lines.size()] = need.by_month[i].reference_t;
  const auto& p = season.parameters;
  const Month closes{season.crop_year, static_cast<int>(p["intake_closed_month"])};
  terms.intake_closed = date_of(day_number(first_day(closes)) + std::min(static_cast<int>(p["intake_closed_day"]), days_in(closes)) - 1);
  double total = 0;
  for (std::size_t s = 0; s < supply.scenarios.size(); ++s)
    if (supply.scenarios[s].in_programme) {
      terms.scenario_of.push_back(static_cast<int>(s));
      terms.weight.push_back(supply.scenarios[s].weight);
      total += supply.scenarios[s].weight;
    }
  for (double& w : terms.weight) w /= total;
  terms.unmet_price = season.risk.unmet_price.value_or(3 * terms.market.default_contract_price());
  terms.interest_month = p["interest_pct_year"] / 100 / 12;
  terms.contract_choice = contract_choice(season, contracts);
  terms.heaps = heap_terms(terms);
  terms.backups = backup_terms(terms);
  terms.closing_t = closing_stock(terms);
  set_largest(terms);
  return terms;
}

}  // namespace rickyard
