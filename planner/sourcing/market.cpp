#include "planner/sourcing/market.h"

#include <algorithm>
#include <numeric>
#include <optional>

namespace rickyard {
namespace {

double in_month(const Season& season, std::optional<double> PriceRow::*field, const Month& month, double otherwise) {
  const PriceRow *before = nullptr, *after = nullptr;
  for (const auto& row : season.prices) {
    if (!(row.*field)) continue;
    if (row.month <= month && (!before || before->month < row.month)) before = &row;
    if (row.month > month && (!after || row.month < after->month)) after = &row;
  }
  const PriceRow* row = before ? before : after;
  return row ? *(row->*field) : otherwise;
}

double mean(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

}  // namespace

Market market(const Season& season, const PlanMonths& plan) {
  Market out;
  for (int m = month_index(plan.first); m <= month_index(plan.last); ++m) {
    out.feed_per_t.push_back(in_month(season, &PriceRow::feed_base, month_of_index(m), season.parameters["feed_base_per_t"]));
    out.spread_per_t.push_back(in_month(season, &PriceRow::spread, month_of_index(m), season.parameters["normal_spread_per_t"]));
  }
  out.mean_feed = mean(out.feed_per_t);
  out.mean_spread = mean(out.spread_per_t);
  out.reject_haul_per_t = season.parameters["reject_haul_per_load"] / season.parameters["road_load_t"];
  return out;
}

double spot_price_per_t(const Season& season, const Market& market, int month, double home_shortage) {
  const auto m = static_cast<std::size_t>(month);
  const double rise = std::min(season.parameters["shortage_price_cap"], season.parameters["shortage_price_slope"] * 100 * home_shortage);
  return market.feed_per_t[m] + market.spread_per_t[m] + rise;
}

}  // namespace rickyard
