// What must be ordered, by when, and what was bought: decisions and purchases of the plan document.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "planner/document/build_document.h"

namespace rickyard {
namespace {

// Orders of one backup in one stage.
struct Orders {
  std::vector<double> t, value, price;  // [programme scenario]; value = t x price
  std::map<Month, double> mean_t;
};

std::map<std::pair<int, bool>, Orders> orders_by_source(const SourcingResult& result) {
  std::map<std::pair<int, bool>, Orders> table;  // (backup, after harvest)
  for (const auto& purchase : result.purchases) {
    auto [at, fresh] = table.try_emplace({purchase.backup, !purchase.first_stage});
    auto& orders = at->second;
    if (fresh) orders.t = orders.value = std::vector<double>(result.weight.size(), 0.0);
    const auto s = static_cast<std::size_t>(purchase.scenario);
    orders.t[s] += purchase.t;
    orders.value[s] += purchase.t * purchase.price_per_t;
    orders.mean_t[purchase.month] += result.weight[s] * purchase.t;
  }
  for (auto& [key, orders] : table) {
    orders.price.assign(orders.t.size(), std::numeric_limits<double>::quiet_NaN());
    for (std::size_t s = 0; s < orders.t.size(); ++s)
      if (orders.t[s] > 0) orders.price[s] = orders.value[s] / orders.t[s];
  }
  return table;
}

// The day an order for a month falls due: the first of the month less the lead time, or decide_by if that is earlier.
Date due(const BackupRow& backup, const Month& month) {
  const Date by_lead = first_day(month) - boost::gregorian::days(static_cast<long>(std::ceil(backup.lead_days.value_or(0))));
  return backup.decide_by && *backup.decide_by < by_lead ? *backup.decide_by : by_lead;
}

// What is already bought, by month: committed_t fills the source's months of the plan in order, up to its cap.
std::map<Month, double> committed(const BackupRow& backup, const std::vector<Month>& months) {
  std::map<Month, double> out;
  double left = backup.committed_t.value_or(0);
  const double cap = backup.cap_t_month.value_or(0) * backup.accept_share.value_or(1);
  for (const Month& month : months) {
    if (!backup.months_available[static_cast<std::size_t>(month.month - 1)]) continue;
    out[month] = std::min(left, cap);
    left -= out[month];
  }
  return out;
}

const char* stage_name(bool after) { return after ? "after harvest" : "now"; }

}  // namespace

std::vector<PlanDocument::PurchaseBlock> purchase_blocks(const DocumentInput& in) {
  std::vector<PlanDocument::PurchaseBlock> blocks;
  for (const auto& [key, orders] : orders_by_source(in.sourcing)) {
    const auto& backup = in.season.backups[static_cast<std::size_t>(key.first)];
    blocks.push_back({backup.source, backup.origin, stage_name(key.second), range_where_defined(orders.t, in.sourcing.weight),
                      range_where_defined(orders.price, in.sourcing.weight)});
  }
  return blocks;
}

std::vector<PlanDocument::Decision> decision_blocks(const DocumentInput& in) {
  std::vector<PlanDocument::Decision> decisions;
  for (const auto& [key, orders] : orders_by_source(in.sourcing)) {
    const auto& backup = in.season.backups[static_cast<std::size_t>(key.first)];
    // One decision for all months that fall due on the same day.
    std::map<Date, std::vector<std::pair<Month, double>>> by_day;
    auto bought = committed(backup, in.sourcing.months);
    for (const auto& [month, all] : orders.mean_t)
      if (const double t = key.second ? all : all - bought[month]; t > 0.5) by_day[due(backup, month)].emplace_back(month, t);
    for (const auto& [day, months] : by_day) {
      double t = 0;
      for (const auto& entry : months) t += entry.second;
      const std::string from = to_text(months.front().first), to = to_text(months.back().first);
      const std::string when = months.size() == 1 ? "for " + from : "for " + from + " to " + to;
      PlanDocument::Decision decision{"order " + when, backup.source, day, t, stage_name(key.second), {}};
      decision.if_not = fmt::format("{} tonnes of need {} must come from elsewhere or go short", std::llround(t), when);
      decisions.push_back(decision);
    }
  }
  // Contracts that may still be signed.
  for (std::size_t c = 0; c < in.season.contracts.size(); ++c) {
    const auto& row = in.season.contracts[c];
    if (!row.sign_by || in.season.as_of > *row.sign_by) continue;
    double t = 0;
    for (const auto& account : in.sourcing.accounts)
      if (account.contract == static_cast<int>(c)) t += in.sourcing.weight[static_cast<std::size_t>(account.scenario)] * account.accepted_t;
    const bool tonnage = row.form == ContractForm::tonnage;
    PlanDocument::Decision decision{
        fmt::format("sign {} {}", std::llround(tonnage ? row.contracted_t.value_or(0) : row.planted_ha.value_or(0)), tonnage ? "t" : "ha"),
        row.contract,
        *row.sign_by,
        t,
        stage_name(false),
        {}};
    decision.if_not =
        fmt::format("about {} tonnes of qualifying grain a year, counted in this plan, are not under contract", std::llround(t));
    decisions.push_back(decision);
  }
  std::stable_sort(decisions.begin(), decisions.end(), [](const auto& a, const auto& b) { return a.by < b.by; });
  return decisions;
}

}  // namespace rickyard
