#include "tests/sourcing/seasons.h"

#include <cmath>
#include <random>

#include "planner/rules/all_parameters.h"

namespace rickyard::test {

Season plain_season() {
  Season season{ParameterSet(all_parameters())};
  season.crop_year = 2027;
  season.as_of = Date(2027, 3, 1);
  season.risk.unmet_price = 600;
  season.closing_t = {{"", 0}};
  season.spec.limit_n_pct = 1.65;
  season.spec.stop_n_pct = 1.70;
  return season;
}

ContractRow area_contract(const std::string& region, double planted_ha, double price) {
  ContractRow row;
  row.region = region;
  row.origin = "home";
  row.contract = region + "-area";
  row.form = ContractForm::area;
  row.planted_ha = planted_ha;
  row.harvested_share = 1;
  row.yield_t_ha = 6;
  row.price = price;
  return row;
}

BackupRow backup(const std::string& source, const std::string& origin, double cap_t_month, double price) {
  BackupRow row;
  row.source = source;
  row.origin = origin;
  row.cap_t_month = cap_t_month;
  row.price_per_t = price;
  row.months_available.fill(true);
  return row;
}

DemandRow need_of(const std::string& line, const Month& month, double barley_t) {
  DemandRow row;
  row.line = line;
  row.month = month;
  row.unit = NeedUnit::barley_t;
  row.amount = barley_t;
  row.low_factor = row.high_factor = 1;
  return row;
}

StockRow stock_of(const std::string& lot, const std::string& origin, int crop_year, double tonnes, double n_pct) {
  StockRow row;
  row.lot = lot;
  row.origin = origin;
  row.crop_year = crop_year;
  row.tonnes = tonnes;
  row.n_pct = n_pct;
  return row;
}

SupplyScenarios supply_of(const Season& season, const std::vector<double>& yield_t_ha) {
  SupplyScenarios supply;
  for (std::size_t y = 0; y < yield_t_ha.size(); ++y) {
    supply.years.push_back(2001 + static_cast<int>(y));
    supply.year_weights.push_back(1.0 / static_cast<double>(yield_t_ha.size()));
    Scenario s;
    s.year = static_cast<int>(y);
    s.weight = supply.year_weights.back();
    s.in_programme = true;
    for (const auto& row : season.contracts) {
      ContractScenario c;
      c.harvested_ha = row.planted_ha.value_or(row.contracted_t.value_or(0) / 6) * row.harvested_share.value_or(0.97);
      c.yield_t_ha = yield_t_ha[y];
      c.offered_t = c.harvested_ha * c.yield_t_ha;
      c.qualifying_t = 0.92 * c.offered_t;
      c.band_t = {0.6 * c.qualifying_t, 0.35 * c.qualifying_t, 0.05 * c.qualifying_t, 0};
      c.band_n_pct = {1.45, 1.58, 1.67, 1.70};
      c.with_claim_t = c.band_t[2];
      c.rejected_nitrogen_t = 0.08 * c.offered_t;
      c.n_pct = 1.53;
      c.n_accepted_pct = 1.5065;
      c.screenings_pct = 3;
      c.band_screenings_pct = {3, 3, 3, 3};
      s.contracts.push_back(c);
    }
    for (const auto& row : season.backups) s.backups.push_back({1, row.price_per_t.value_or(0)});
    supply.scenarios.push_back(s);
  }
  const double day = day_number(Date(2027, 8, 25)) - day_number(Date(2026, 9, 1));
  supply.harvested_day.assign(season.contracts.size() * yield_t_ha.size(), day);
  return supply;
}

RandomSeason random_season(unsigned seed) {
  const auto leans = [&](unsigned kind) { return seed % 4 == kind || seed / 4 % 4 == kind; };
  std::mt19937 engine(seed);
  const auto between = [&](double low, double high) { return low + (high - low) * (static_cast<double>(engine()) / 4294967296.0); };
  const auto one_in = [&](int n) { return engine() % static_cast<unsigned>(n) == 0; };
  Season season = plain_season();
  const int months = 3 + static_cast<int>(engine() % 4);
  season.plan_from = Month{2027, 9};
  season.plan_to = add_months({2027, 9}, months - 1);
  season.closing_t[""] = one_in(2) ? std::round(between(0, 200)) : 0;
  for (int m = 0; m < months; ++m) {
    season.demand.push_back(need_of("spirit", add_months({2027, 9}, m), std::round(between(100, 400))));
    season.demand.push_back(need_of("claim", add_months({2027, 9}, m), std::round(between(50, 250))));
  }
  for (auto& row : season.demand)
    if (row.line == "claim") row.origin_rule = "home";
  season.contracts.push_back(area_contract("north", std::round(between(60, 250)), std::round(between(180, 210))));
  season.contracts.back().held = one_in(2) ? Held::store : Held::farm;
  season.contracts.back().reject_rule = one_in(3) ? RejectRule::feed_price : RejectRule::grower_keeps;
  if (one_in(3)) {
    season.contracts.back().form = ContractForm::area_capped;
    season.contracts.back().cap_t_ha = 4.5;
  }
  season.stock.push_back(stock_of("old-home", "home", 2026, std::round(between(100, 600)), between(1.40, 1.60)));
  season.stock.push_back(stock_of("old-away", "away", 2026, std::round(between(100, 600)), between(1.50, 1.70)));
  season.backups.push_back(backup("merchant", "home", std::round(between(20, 200)), std::round(between(200, 240))));
  season.backups.back().n_pct = between(1.45, 1.65);
  season.backups.back().lead_days = one_in(2) ? 14 : 120;
  season.backups.push_back(backup("vessel", "away", std::round(between(50, 300)), std::round(between(190, 230))));
  season.backups.back().n_pct = between(1.55, 1.75);
  season.backups.back().freight_per_t = 15;
  if (one_in(3)) season.backups.back().option_fee_per_t = 5;
  if (one_in(3)) season.backups.back().cap_t_season = std::round(between(100, 600));
  StoreRow store;
  store.store = "main";
  store.capacity_t = 5000;
  season.stores.push_back(store);
  if (leans(0))
    for (auto& row : season.demand) row.n_ceiling_pct = between(1.49, 1.53);
  if (leans(1)) {
    season.stores[0].capacity_t = std::round(between(150, 400));
    season.contracts[0].held = Held::store;
  }
  if (leans(2)) season.share_limits.push_back({"away", "", between(0.05, 0.25)});
  if (leans(3)) {
    season.stock[1].tonnes = 3000;
    season.contracts[0].planted_ha = 20;
    season.stock[0].tonnes = 50;
    season.backups[0].origin = "away";
  }
  std::vector<double> yields;
  for (int s = 0; s < 3; ++s) yields.push_back(between(3.5, 7));
  RandomSeason out{season, supply_of(season, yields)};
  for (auto& s : out.supply.scenarios) {
    s.demand_factor = between(0.95, 1.05);
    for (auto& b : s.backups) {
      b.cap_factor = between(0.6, 1.2);
      b.price_per_t += std::round(between(0, 40));
    }
  }
  return out;
}

Season demo_sized_season() {
  Season season = plain_season();
  season.closing_t.clear();
  season.plan_from = Month{2027, 4};
  season.plan_to = Month{2028, 10};
  for (int c = 0; c < 10; ++c) {
    auto row = area_contract("region-" + std::to_string(c), 300 + 40 * c, 196 + c % 4);
    row.harvested_share = 0.97;
    row.yield_t_ha = 5.6 + 0.1 * c;
    row.typical_n_pct = 1.46 + 0.01 * c;
    row.typical_screenings_pct = 3 + 0.3 * c;
    row.typical_other_failure_pct = 5;
    row.haul_per_t = 8 + c;
    row.claims = {"assured"};
    if (c % 3 == 0) row.held = Held::store;
    if (c % 4 == 1) {
      row.form = ContractForm::tonnage;
      row.contracted_t = 1500;
      row.growers = 12;
    }
    if (c % 4 == 2) {
      row.form = ContractForm::area_capped;
      row.cap_t_ha = 5.5;
    }
    row.reject_rule = c % 2 ? RejectRule::feed_price : RejectRule::grower_keeps;
    if (c == 7) row.origin = "far-island";
    season.contracts.push_back(row);
  }
  season.stock = {stock_of("lot-1", "home", 2026, 6500, 1.47), stock_of("lot-2", "home", 2026, 3000, 1.55),
                  stock_of("lot-3", "abroad", 2026, 1500, 1.60), stock_of("lot-4", "home", 2025, 400, 1.52)};
  for (auto& lot : season.stock) lot.claims = {"assured"};
  season.backups = {backup("merchant", "home", 400, 215), backup("neighbour", "abroad", 600, 205), backup("vessel", "overseas", 1500, 190),
                    backup("second-merchant", "home", 250, 222), backup("reserve", "abroad", 500, 212)};
  season.backups[1].lead_days = 30;
  season.backups[2].lead_days = 90;
  season.backups[2].kind = BackupKind::vessel;
  season.backups[2].freight_per_t = 28;
  season.backups[2].moisture_pct = 11;
  season.backups[2].months_available = {true, true, true, true, true, false, false, false, false, false, false, true};
  season.backups[3].lead_days = 14;
  season.backups[4].option_fee_per_t = 5;
  season.backups[4].lead_days = 20;
  StoreRow store;
  store.store = "main";
  store.capacity_t = 12000;
  season.stores = {store};
  MaltingRow malting;
  malting.plant = "works";
  malting.barley_t = 2200;
  season.maltings = {malting};
  OutletRow outlet;
  outlet.outlet = "brewing";
  outlet.n_min_pct = 1.55;
  outlet.n_max_pct = 1.85;
  outlet.price_per_t = 185;
  outlet.cap_t_month = 200;
  season.outlets = {outlet};
  DemandRow single;
  single.line = "single-origin";
  single.amount = 2.4e6;
  single.origin_rule = "home";
  single.n_ceiling_pct = 1.60;
  DemandRow other;
  other.line = "blend";
  other.amount = 4.4e6;
  season.demand = {single, other};
  season.share_limits = {{"overseas", "", 0.4}};
  return season;
}

}  // namespace rickyard::test
