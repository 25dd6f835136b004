// Sums over the document, made once so that reports only show them.
#include <algorithm>

#include "planner/document/build_document.h"

namespace rickyard {
namespace {

// Unmet tonnes of each weather year over all months and lines.
std::vector<double> unmet_by_year(const PlanDocument& d) {
  std::vector<double> unmet(d.years.size(), 0);
  for (const auto& block : d.months)
    for (std::size_t y = 0; y < unmet.size() && y < block.unmet_by_year_t.size(); ++y) unmet[y] += block.unmet_by_year_t[y];
  return unmet;
}

// Mean over the years of a kind, each with its weight.
std::vector<PlanDocument::KindUnmet> unmet_by_kind(const PlanDocument& d, const std::vector<double>& unmet) {
  std::vector<PlanDocument::KindUnmet> kinds;
  for (const char* kind : {"dry", "normal", "wet", "drawn"}) {
    double sum = 0, weight = 0;
    for (std::size_t y = 0; y < unmet.size(); ++y)
      if (d.years[y].kind == kind) {
        sum += d.years[y].weight * unmet[y];
        weight += d.years[y].weight;
      }
    if (weight > 0) kinds.push_back({kind, sum / weight});
  }
  return kinds;
}

// Shares of origins in what is used over all months and lines.
std::vector<PlanDocument::OriginShare> blend_of_season(const PlanDocument& d) {
  std::vector<PlanDocument::OriginShare> origins;
  double total = 0;
  for (const auto& block : d.months)
    for (const auto& part : block.blend) {
      auto at = std::find_if(origins.begin(), origins.end(), [&](const auto& o) { return o.origin == part.origin; });
      if (at == origins.end()) at = origins.insert(origins.end(), {part.origin, 0, 0});
      at->t += part.t.mean;
      total += part.t.mean;
    }
  if (total > 0)
    for (auto& origin : origins) origin.share = origin.t / total;
  std::stable_sort(origins.begin(), origins.end(), [](const auto& a, const auto& b) { return a.t > b.t; });
  return origins;
}

}  // namespace

PlanDocument::Totals totals_block(const PlanDocument& d) {
  PlanDocument::Totals totals;
  for (const auto& block : d.months) totals.need_t += block.need_t;
  for (const auto& block : d.stock)
    if (block.month == d.horizon.first_month) totals.opening_stock_t += block.opening_t.mean;
  totals.unmet_by_year_t = unmet_by_year(d);
  totals.unmet_by_kind_t = unmet_by_kind(d, totals.unmet_by_year_t);
  totals.blend = blend_of_season(d);
  return totals;
}

}  // namespace rickyard
