#include "tests/bench/sourcing_case.h"

#include <cmath>

#include "planner/base/draws.h"
#include "tests/sourcing/seasons.h"

namespace rickyard::bench {
namespace {

constexpr int kRegions = 24, kBackups = 10, kMonths = 12;

double drawn(int scenario, int item, int what, double low, double high) {
  const auto word = [](int i) { return static_cast<std::uint32_t>(i); };
  return low + (high - low) * uniform_draw(7, DrawPurpose::tie_break, {word(scenario), word(item), word(what), 1});
}

Season season_of() {
  Season season = test::plain_season();
  season.plan_from = Month{2027, 9};
  season.plan_to = add_months({2027, 9}, kMonths - 1);
  season.risk.lambda = 0.5;
  season.risk.alpha = 0.9;
  season.closing_t = {{"", 800}};
  for (int m = 0; m < kMonths; ++m) {
    season.demand.push_back(test::need_of("blend", add_months({2027, 9}, m), 900));
    season.demand.back().n_ceiling_pct = 1.58;
    season.demand.push_back(test::need_of("single", add_months({2027, 9}, m), 700));
    season.demand.back().origin_rule = "home";
    season.demand.back().n_ceiling_pct = 1.55;
  }
  for (int r = 0; r < kRegions; ++r) {
    auto row = test::area_contract("region-" + std::to_string(r), 130, drawn(0, r, 0, 190, 205));
    row.origin = r % 3 == 2 ? "away" : "home";
    row.min_ha = 40;
    row.max_ha = 260;
    row.haul_per_t = drawn(0, r, 1, 5, 20);
    row.held = r % 4 == 0 ? Held::store : Held::farm;
    season.contracts.push_back(row);
  }
  for (int b = 0; b < kBackups; ++b) {
    auto row =
        test::backup("backup-" + std::to_string(b), b % 2 ? "away" : "home", std::round(drawn(0, b, 2, 80, 250)), drawn(0, b, 3, 200, 245));
    row.lead_days = b % 3 == 0 ? 150 : 14;
    row.n_pct = drawn(0, b, 4, 1.45, 1.7);
    row.freight_per_t = drawn(0, b, 5, 0, 20);
    row.cap_t_season = 6 * *row.cap_t_month;
    if (b % 4 == 1) row.option_fee_per_t = 4;
    season.backups.push_back(row);
  }
  season.stock = {test::stock_of("old-home", "home", 2026, 1800, 1.49), test::stock_of("old-away", "away", 2026, 1500, 1.57)};
  StoreRow store;
  store.store = "main";
  store.capacity_t = 6000;
  season.stores = {store};
  season.share_limits = {{"away", "", 0.45}};
  return season;
}

void set_grain(ContractScenario& grain, const ContractRow& row, int s, int r, int bands) {
  // Half of the year's luck is everybody's.
  grain.yield_t_ha = 5.5 + drawn(s, 1000, 0, -1.3, 1.3) + drawn(s, r, 6, -1.2, 1.2);
  grain.offered_t = *row.planted_ha * grain.yield_t_ha;
  grain.qualifying_t = drawn(s, r, 7, 0.8, 0.96) * grain.offered_t;
  const double n = 1.50 + drawn(s, 1000, 1, -0.05, 0.05) + drawn(s, r, 8, -0.06, 0.06);
  const double share[3][4] = {{1, 0, 0, 0}, {0.6, 0.4, 0, 0}, {0.5, 0.35, 0.15, 0}};
  for (std::size_t band = 0; band < 4; ++band) {
    grain.band_t[band] = share[bands - 1][band] * grain.qualifying_t;
    grain.band_n_pct[band] = n + 0.04 * static_cast<double>(band) - 0.02 * (bands - 1);
  }
  grain.rejected_nitrogen_t = grain.offered_t - grain.qualifying_t;
}

}  // namespace

SourcingCase::SourcingCase(int scenarios, int bands)
    : season(season_of()), supply(test::supply_of(season, std::vector<double>(static_cast<std::size_t>(scenarios), 6))) {
  for (int s = 0; s < scenarios; ++s) {
    auto& scenario = supply.scenarios[static_cast<std::size_t>(s)];
    for (int r = 0; r < kRegions; ++r)
      set_grain(scenario.contracts[static_cast<std::size_t>(r)], season.contracts[static_cast<std::size_t>(r)], s, r, bands);
    for (int b = 0; b < kBackups; ++b) {
      auto& source = scenario.backups[static_cast<std::size_t>(b)];
      source.cap_factor = drawn(s, b, 9, 0.5, 1.2);
      source.price_per_t += drawn(s, 1000, 2, 0, 30) + drawn(s, b, 10, 0, 25);
    }
  }
  forecast.years = supply.years;
  forecast.weights = supply.year_weights;
  need = compute_need(season, {});
}

Programme SourcingCase::programme() const { return build_programme(programme_terms(season, {}, forecast, need, supply, Contracts::open)); }

}  // namespace rickyard::bench
