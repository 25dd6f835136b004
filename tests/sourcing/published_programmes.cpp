#include "tests/sourcing/published_programmes.h"

#include <cmath>
#include <numeric>

namespace rickyard::test {

TwoStage farmer() {
  TwoStage out;
  constexpr double farm = 500;
  const char* crops[] = {"wheat", "corn", "beets"};
  const double planting[] = {150, 230, 260}, yields[] = {2.5, 3, 20};
  const int land = out.first.add_row(-kNoBound, farm, "land");
  for (int c = 0; c < 3; ++c) out.first.add(land, out.first.add_column(0, farm, planting[c], crops[c]), 1);
  out.integer.assign(3, 0);
  out.tie_cost.assign(3, 0);
  for (double year : {0.8, 1.0, 1.2}) {
    TwoStageScenario s;
    s.weight = 1.0 / 3;
    s.largest = 20'000;
    auto& lp = s.lp;
    const int wheat = lp.add_row(200, kNoBound, "wheat"), corn = lp.add_row(240, kNoBound, "corn"),
              beets = lp.add_row(0, kNoBound, "beets");
    const int rows[] = {wheat, corn, beets};
    for (int c = 0; c < 3; ++c) s.linking.push_back({rows[c], c, year * yields[c]});
    lp.add(wheat, lp.add_column(0, kNoBound, 238, "buy wheat"), 1);
    lp.add(wheat, lp.add_column(0, kNoBound, -170, "sell wheat"), -1);
    lp.add(corn, lp.add_column(0, kNoBound, 210, "buy corn"), 1);
    lp.add(corn, lp.add_column(0, kNoBound, -150, "sell corn"), -1);
    lp.add(beets, lp.add_column(0, 6000, -36, "beets at the quota's price"), -1);
    lp.add(beets, lp.add_column(0, kNoBound, -10, "beets above it"), -1);
    out.scenarios.push_back(std::move(s));
  }
  return out;
}

TwoStage lot_sizing(const std::vector<double>& demand, const std::vector<double>& setup, double holding) {
  TwoStage out;
  TwoStageScenario s;
  s.weight = 1;
  s.largest = std::accumulate(demand.begin(), demand.end(), 0.0);
  int before = -1;
  for (std::size_t t = 0; t < demand.size(); ++t) {
    const int ordered = out.first.add_column(0, s.largest, 0, "ordered"), placed = out.first.add_column(0, 1, setup[t], "set up");
    out.integer.insert(out.integer.end(), {0, 1});
    const int only = out.first.add_row(-kNoBound, 0, "only with a set-up");
    out.first.add(only, ordered, 1);
    // No order is larger than what is still to come.
    out.first.add(only, placed, -std::accumulate(demand.begin() + static_cast<std::ptrdiff_t>(t), demand.end(), 0.0));
    const int balance = s.lp.add_row(demand[t], demand[t], "balance");
    s.linking.push_back({balance, ordered, 1});
    if (before >= 0) s.lp.add(balance, before, 1);
    before = s.lp.add_column(0, kNoBound, holding, "stock");
    s.lp.add(balance, before, -1);
  }
  out.tie_cost.assign(out.integer.size(), 0);
  out.scenarios.push_back(std::move(s));
  return out;
}

TwoStage newsvendor(const std::vector<double>& demand, double cost, double price, double salvage) {
  TwoStage out;
  double most = 0;
  for (double d : demand) most = std::max(most, d);
  out.first.add_column(0, 2 * most, cost, "order");
  out.integer = {0};
  out.tie_cost = {0};
  for (double d : demand) {
    TwoStageScenario s;
    s.weight = 1 / static_cast<double>(demand.size());
    s.largest = 2 * most;
    s.lp.add_row(0, 0, "order");
    s.lp.add(0, s.lp.add_column(0, std::max(d, 0.0), -price, "sold"), -1);
    s.lp.add(0, s.lp.add_column(0, kNoBound, -salvage, "salvaged"), -1);
    s.linking.push_back({0, 0, 1});
    out.scenarios.push_back(std::move(s));
  }
  return out;
}

double normal_quantile(double p) {
  double low = -40, high = 40;
  for (int i = 0; i < 200; ++i) {
    const double middle = (low + high) / 2;
    (0.5 * std::erfc(-middle / std::sqrt(2.0)) < p ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace rickyard::test
