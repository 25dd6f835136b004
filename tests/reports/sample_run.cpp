#include "tests/reports/sample_run.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

namespace rickyard {
namespace {

constexpr std::array<ParameterSpec, 2> kParameters{{{"sample_a", 0.5, "1", 0, 1, "judgement", "=chosen here", "a made-up parameter"},
                                                    {"sample_b_mm", 12.25, "mm", 0, 100, "seen", "-a table", "another"}}};
constexpr double kReference = 410 * 0.774;  // e_ref of a spirit line
constexpr int kYears = 6, kDraws = 4, kProgrammeDraws = 2;

// A repeatable number in (0, 1) for any tuple of small integers.
double noise(int a, int b, int c, int d) {
  return std::fmod(std::fabs(std::sin(12.9898 * a + 78.233 * b + 37.719 * c + 4.581 * d + 1) * 43758.5453), 1.0);
}

// t/ha of a contract row and weather year, before draws.
double sample_yield(int c, int y) { return 4.75 + 3 * noise(c, y, 0, 4); }

ContractRow contract(const char* region, const char* origin, const char* name, ContractForm form, double ha, int row) {
  ContractRow out;
  out.at = {"contracts.csv", row};
  out.region = region;
  out.origin = origin;
  out.contract = name;
  out.form = form;
  out.planted_ha = ha;
  if (form == ContractForm::tonnage) out.contracted_t = 900;
  return out;
}

BackupRow backup(const char* source, const char* origin, BackupKind kind, double price, double lead_days) {
  BackupRow out;
  out.source = source;
  out.origin = origin;
  out.kind = kind;
  out.price_per_t = price;
  out.lead_days = lead_days;
  return out;
}

Season sample_season(ForecastModel model) {
  Season season{ParameterSet(kParameters)};
  season.crop_year = 2027;
  season.as_of = Date(2027, 3, 1);
  season.model = model;
  season.parameters.set("sample_a", 0.625);
  season.spec.limit_n_pct = 1.65;
  season.spec.stop_n_pct = 1.70;
  season.risk.alpha = 0.8;
  season.contracts = {contract("north", "Home \"north\", hills", "north-area", ContractForm::area, 300, 2),
                      contract("south", "Home south", "south-area", ContractForm::area, 200, 3),
                      contract("south", "Home south", "south-tonnage", ContractForm::tonnage, 150, 4),
                      contract("bog", "Home bog", "bog-area", ContractForm::area, 10, 5)};
  season.contracts[1].sign_by = Date(2027, 3, 20);
  season.backups = {backup("merchant", "Mainland", BackupKind::merchant, 230, 20),
                    backup("vessel", "Overseas", BackupKind::vessel, 260, 60)};
  season.defaults_used.push_back({"contracts.harvested_share", "0.97", "fraction", "practice", "trade notes", 4});
  season.declared.push_back({"rasters.rain.crs", "EPSG:4326"});
  return season;
}

HarvestForecast sample_forecast(const Season& season) {
  HarvestForecast f;
  f.from_weather = season.model == ForecastModel::daily;
  f.weights = {0.1, 0.3, 0.2, 0.25, 0.15, 0.0};
  for (int y = 0; y < kYears; ++y) {
    f.years.push_back(f.from_weather ? 2001 + y : 1 + y);
    f.rain_mm.push_back(700 + 300 * noise(y, 0, 0, 1));
    f.rain_apr_jul_mm.push_back(150 + 150 * noise(y, 0, 0, 2));
  }
  for (int c = 0; c < static_cast<int>(season.contracts.size()); ++c) {
    ContractForecast one;
    one.contract = c;
    one.anchor.contract = season.contracts[static_cast<std::size_t>(c)].contract;
    for (int y = 0; y < kYears; ++y) {
      const double late = 20 * noise(c, y, 1, 3);
      one.dates.push_back({213.5 + late, 290 + late, c == 3 && y < 4 ? -1 : 340.25 + late, c == 3 && y < 4 ? -1 : 350.5 + late});
      YieldLosses losses{0, 0.05 * noise(c, y, 2, 1) - 0.02, 0.4 * noise(c, y, 2, 2), 0.1 * noise(c, y, 2, 3),
                         0, 0.05 * noise(c, y, 2, 4),        0.2 * noise(c, y, 2, 5)};
      losses.attainable = sample_yield(c, y) + losses.sowing + losses.water + losses.waterlogging + losses.heat + losses.harvest;
      one.losses.push_back(f.from_weather ? losses : YieldLosses{});
      one.harvest_weather.push_back(
          {10 + 10 * noise(c, y, 5, 1), 8 * noise(c, y, 5, 2), 0.4 * noise(c, y, 5, 3), c == 3 && y < 4 ? -1 : 14 + 6 * noise(c, y, 5, 4)});
    }
    f.contracts.push_back(one);
  }
  return f;
}

ContractScenario sample_contract(const ContractRow& row, int c, int y, int d) {
  ContractScenario s;
  s.harvested_ha = 0.97 * row.planted_ha.value_or(0);
  s.yield_t_ha = sample_yield(c, y) + 0.5 * (noise(c, y, d, 5) - 0.5);
  s.offered_t = s.harvested_ha * s.yield_t_ha;
  s.n_pct = 1.4 + 0.3 * noise(c, y, 0, 6) + 0.03 * noise(c, y, d, 7);
  s.screenings_pct = 3 + 4 * noise(c, y, d, 8);
  const double failed = c == 3 ? 1 : 0.1 + 0.4 * noise(c, y, d, 9);
  s.rejected_nitrogen_t = s.offered_t * failed * 0.6;
  s.rejected_screenings_t = s.offered_t * failed * 0.2;
  s.rejected_germination_t = s.offered_t * failed * 0.15;
  s.rejected_other_t = s.offered_t * failed * 0.05;
  s.qualifying_t =
      c == 3 ? 0 : s.offered_t - s.rejected_nitrogen_t - s.rejected_screenings_t - s.rejected_germination_t - s.rejected_other_t;
  s.band_t = {0.5 * s.qualifying_t, 0.4 * s.qualifying_t, 0.1 * s.qualifying_t, 0};
  s.band_n_pct = {1.42, 1.57, 1.67, 1.75};
  s.with_claim_t = s.band_t[2];
  s.n_accepted_pct = s.qualifying_t > 0 ? 0.5 * 1.42 + 0.4 * 1.57 + 0.1 * 1.67 : std::numeric_limits<double>::quiet_NaN();
  return s;
}

SupplyScenarios sample_supply(const Season& season, const HarvestForecast& forecast) {
  SupplyScenarios supply;
  supply.years = forecast.years;
  supply.year_weights = forecast.weights;
  supply.draws_per_year = kDraws;
  supply.programme_draws_per_year = kProgrammeDraws;
  for (int y = 0; y < kYears; ++y)
    for (int d = 0; d < kDraws; ++d) {
      Scenario s;
      s.year = y;
      s.draw = d;
      s.weight = forecast.weights[static_cast<std::size_t>(y)] / kDraws;
      s.in_programme = d < kProgrammeDraws;
      s.demand_factor = 0.95 + 0.1 * noise(y, d, 3, 1);
      for (int c = 0; c < static_cast<int>(season.contracts.size()); ++c)
        s.contracts.push_back(sample_contract(season.contracts[static_cast<std::size_t>(c)], c, y, d));
      for (int b = 0; b < 2; ++b) s.backups.push_back({0.5 + noise(b, y, 4, 1), 220 + 60 * noise(b, y, 4, 2)});
      supply.scenarios.push_back(s);
    }
  supply.independent_total_qualifying = {2400, 1900, 2400, 2900};
  supply.independent_p5_t = 1800;
  supply.sampling_p10 = {1500, 2000};
  supply.sampling_p50 = {2200, 2600};
  supply.sampling_p90 = {2700, 3300};
  return supply;
}

Need sample_need() {
  Need need;
  need.spirit_lpa = 800000;
  need.malt_t = 1951.219512;
  for (int m = 0; m < 5; ++m)
    for (const char* line : {"island malt", "blended"}) {
      const double t = m == 3 ? 0 : std::string(line) == "blended" ? 350.5 : 180.25;  // nothing is made in the silent month
      need.by_month.push_back({line, add_months({2027, 8}, m), t * kReference, t});
      need.barley_t += t;
    }
  need.steps = {{"malt handling loss", 0.995, "memory"}, {"=malt per barley", 0.774, "derived"}};
  return need;
}

// Heaps of the contracts (two bands each), one lot in store, the two backups.
std::vector<Heap> sample_heaps(const Season& season) {
  std::vector<Heap> heaps;
  for (int c = 0; c < static_cast<int>(season.contracts.size()); ++c)
    for (int b = 0; b < 3; ++b) {
      const auto& row = season.contracts[static_cast<std::size_t>(c)];
      heaps.push_back({Heap::From::contract, c, b, row.contract + " n" + std::to_string(b + 1), row.origin, row.contract, 2027, {}});
    }
  heaps.push_back({Heap::From::stock, 0, -1, "old lot", "Home south", "stock", 2026, {}});
  for (int b = 0; b < 2; ++b) {
    const auto& row = season.backups[static_cast<std::size_t>(b)];
    heaps.push_back({Heap::From::backup, b, -1, row.source, row.origin, row.source, 2027, {}});
  }
  return heaps;
}

// One programme scenario, month by month: heaps in order, both lines in turn, a loss, a second-stage order for half of a gap.
class SampleSeason {
 public:
  SampleSeason(const SampleRun& run, SourcingResult& out, int programme)
      : run_(run),
        out_(out),
        s_(programme),
        scenario_(run.supply.scenarios[static_cast<std::size_t>(out.scenario_of[static_cast<std::size_t>(programme)])]) {
    closing_.assign(out.heaps.size(), 0.0);
  }

  void play() {
    for (const auto& month : out_.months) play_month(month);
    accounts();
    for (int part = 0; part < kCostParts; ++part)
      out_.costs.push_back({s_, static_cast<CostPart>(part), cost_[static_cast<std::size_t>(part)]});
  }

 private:
  double nitrogen(std::size_t h) const {
    const auto& heap = out_.heaps[h];
    return heap.from == Heap::From::contract
               ? scenario_.contracts[static_cast<std::size_t>(heap.index)].band_n_pct[static_cast<std::size_t>(heap.band)]
               : 1.5 + 0.02 * static_cast<double>(h % 3);
  }

  double arrivals(std::size_t h, const Month& month) {
    const auto& heap = out_.heaps[h];
    const int m = month_index(month) - month_index(out_.months.front());
    if (heap.from == Heap::From::stock) return m == 0 ? 535 : 0;  // enough for August at some demands
    if (heap.from == Heap::From::contract)
      return m == 1 ? scenario_.contracts[static_cast<std::size_t>(heap.index)].band_t[static_cast<std::size_t>(heap.band)] : 0;
    double t = 0;
    for (const auto& order : out_.purchases)
      if (order.scenario == s_ && order.backup == heap.index && order.month == month) t += order.t;
    return t;
  }

  void order(int backup_index, const Month& month, double t, bool first_stage) {
    const double price = scenario_.backups[static_cast<std::size_t>(backup_index)].price_per_t;
    out_.purchases.push_back({s_, backup_index, month, t, price, first_stage});
    cost_[static_cast<std::size_t>(CostPart::purchases)] += t * price;
    cost_[static_cast<std::size_t>(CostPart::freight)] += 12.5 * t;
  }

  void play_month(const Month& month) {
    const int m = month_index(month) - month_index(out_.months.front());
    if (m == 1) order(0, month, 120, true);
    if (m == 4 && noise(scenario_.year, scenario_.draw, 6, 1) > 0.4)
      order(1, month, 80 * noise(scenario_.year, scenario_.draw, 6, 2) + 5, false);
    std::vector<double> opening = closing_, arrived(closing_.size()), used(closing_.size(), 0.0), lost(closing_.size()),
                        sold(closing_.size(), 0.0);
    for (std::size_t h = 0; h < closing_.size(); ++h) {
      arrived[h] = arrivals(h, month);
      lost[h] = 0.001 * opening[h];
    }
    for (std::size_t l = 0; l < out_.lines.size(); ++l) use(month, l, opening, arrived, lost, used);
    for (std::size_t h = 0; h < closing_.size(); ++h) {
      const double left = opening[h] + arrived[h] - used[h] - lost[h];
      if (m == 4) sold[h] = 0.3 * left;
      closing_[h] = left - sold[h];
      cost_[static_cast<std::size_t>(CostPart::storage)] += closing_[h];
      cost_[static_cast<std::size_t>(CostPart::outlets)] -= 150 * sold[h];
      if (opening[h] + arrived[h] > 0)
        out_.stock.push_back({s_, static_cast<int>(h), month, opening[h], arrived[h], used[h], lost[h], sold[h], closing_[h]});
    }
  }

  void use(const Month& month, std::size_t l, const std::vector<double>& opening, const std::vector<double>& arrived,
           const std::vector<double>& lost, std::vector<double>& used) {
    double open = 0;
    for (const auto& row : run_.need.by_month)
      if (row.month == month && row.line == out_.lines[l]) open = row.reference_t * scenario_.demand_factor;
    for (std::size_t k = 0; k < closing_.size() && open > 1e-9; ++k) {
      const std::size_t h = l == 0 ? k : closing_.size() - 1 - k;  // the second line starts with the backups
      const double ratio = (410 - 45 * (nitrogen(h) - 1.5)) / 410;
      const double t = std::min(opening[h] + arrived[h] - lost[h] - used[h], open / ratio);
      if (t < 1e-9) continue;
      used[h] += t;
      open -= t * ratio;
      out_.flows.push_back({s_, static_cast<int>(h), static_cast<int>(l), month, t, t * ratio, nitrogen(h)});
    }
    if (open > 1e-9) {
      out_.unmet.push_back({s_, static_cast<int>(l), month, open});
      cost_[static_cast<std::size_t>(CostPart::unmet)] += 700 * open;
    }
  }

  void accounts() {
    for (int c = 0; c < static_cast<int>(scenario_.contracts.size()); ++c) {
      const auto& figures = scenario_.contracts[static_cast<std::size_t>(c)];
      const double cost = 200 * figures.qualifying_t - 4 * figures.with_claim_t;
      out_.accounts.push_back({s_, c, figures.offered_t, figures.qualifying_t, 0, cost});
      cost_[static_cast<std::size_t>(CostPart::contracts)] += 200 * figures.qualifying_t;
      cost_[static_cast<std::size_t>(CostPart::claims)] -= 4 * figures.with_claim_t;
    }
  }

  const SampleRun& run_;
  SourcingResult& out_;
  int s_;
  const Scenario& scenario_;
  std::vector<double> closing_;
  std::array<double, kCostParts> cost_{};
};

SourcingResult sample_sourcing(const SampleRun& run) {
  SourcingResult out;
  out.lines = {"island malt", "blended"};
  for (int m = 0; m < 5; ++m) out.months.push_back(add_months({2027, 8}, m));
  out.intake_closed = Date(2027, 10, 31);
  out.heaps = sample_heaps(run.season);
  double total = 0;
  for (std::size_t s = 0; s < run.supply.scenarios.size(); ++s)
    if (run.supply.scenarios[s].in_programme) {
      out.scenario_of.push_back(static_cast<int>(s));
      out.weight.push_back(run.supply.scenarios[s].weight);
      total += out.weight.back();
    }
  for (double& weight : out.weight) weight /= total;
  for (int s = 0; s < static_cast<int>(out.weight.size()); ++s) SampleSeason(run, out, s).play();
  out.warnings = {"-more heaps than bins in 2027-10"};
  return out;
}

Land sample_land() {
  Land land;
  land.cells = {{-4.25, 57.5, 100, 0.25, 0.25}, {-4.0, 57.5, 90, 0.25, 0.25}};
  land.regions.resize(4);
  const std::array<const char*, 4> ids{"south", "north", "bog", "empty"};
  for (std::size_t r = 0; r < ids.size(); ++r) {
    land.regions[r].id = ids[r];
    land.regions[r].name = std::string("The ") + ids[r];
  }
  land.regions[0].outline_geojson = R"({"type":"Polygon","coordinates":[[[-4.0,57.5],[-3.9,57.5],[-3.9,57.6000000001],[-4.0,57.5]]]})";
  land.regions[1].outline_geojson =
      R"({"type":"MultiPolygon","coordinates":[[[[-4,57],[-3.9,57],[-3.9,57.1],[-4,57]]],[[[-5,57],[-4.9,57],[-4.9,57.1],[-5,57]]]]})";
  land.regions[2].outline_geojson = R"({"type":"Polygon","coordinates":[[[-0.0000000001,57.5],[1,57.5],[1,58],[-0.0000000001,57.5]]]})";
  return land;
}

}  // namespace

SampleRun sample_run(ForecastModel model) {
  SampleRun run{sample_season(model), {}, {}, {}, {}, {}, {}};
  if (model == ForecastModel::daily) run.land = sample_land();
  run.forecast = sample_forecast(run.season);
  run.supply = sample_supply(run.season, run.forecast);
  run.need = sample_need();
  run.sourcing = sample_sourcing(run);
  return run;
}

ContractAnswers sample_answers(const SampleRun& run) {
  ContractAnswers out;
  auto& decision = out.decision;
  decision.lambda = 0.5;
  decision.alpha = 0.8;
  out.listed_amount = {250, 220, 150, 10};
  decision.amount = {300, 200, 150, 10};
  decision.one_more = {{31.5, 42.25}, {-7.5, 3.125}, {std::nullopt, std::nullopt}, {0.0, 0.0}};
  decision.frontier = {{0, 900'000, 1'400'000, 0.6, 700, {250, 150, 150, 10}, {0, 0}},
                       {0.5, 950'000, 1'200'000, 0.85, 120, decision.amount, {400, 0}},
                       {4, 1'050'000, 1'150'000, 1, 0, {350, 250, 150, 10}, {400, 3000}}};
  for (double amount : decision.amount) decision.stability.push_back({amount, 0.9 * amount, amount, 1.1 * amount});
  decision.waiting = {{0, 400, 250, 271.5, 310, 0.15}, {1, 0, 320, std::nullopt, std::nullopt, 0}};
  decision.insurance = {true, 400, 950'000, 940'000, 1'200'000, 1'350'000, 0.85, 0.7, 18'000, 40'000, 0.2};
  decision.value_of_stochastic_solution = 12'500;
  decision.value_of_perfect_information = 61'000;
  for (double limit : kLadderLimits)
    out.limit_ladder.push_back(
        {limit, limit + 0.05, {1000 * limit, 900 * limit, 1000 * limit, 1100 * limit}, 100 * limit, -20, 950'000, 1'200'000, 0.85, 120});
  out.price_forms.feed_per_t = {150, 180, 220};
  for (int c = 0; c < static_cast<int>(run.season.contracts.size()); ++c)
    out.price_forms.rows.push_back({c, 20, 180, 220, {200, 200, 200}, {170, 200, 240}, {180, 200, 220}});
  out.lots = {
      {"average",
       1200,
       0,
       1200,
       {{{0}, {600}, 600, 0, 150'000, 0, 360'000, 510'000, false}, {{0, 1}, {600, 3000}, 0, 2400, 1'100'000, 400'000, 0, 700'000, true}}},
      {"1 in 10 dry", 2400, 100, 0, {}}};
  out.hectares_needed = HectaresNeeded{0.8, 2500, 2000, 660, 1.25, 825.0, 130, 30, 3900};
  return out;
}

PlanDocument SampleRun::document_with(const ContractAnswers* answers) const {
  const bool daily = season.model == ForecastModel::daily;
  DocumentInput input{season, patch, daily ? &land : nullptr, forecast, supply, need, sourcing, {}, {}, {}, {}, {}, "0.1.0"};
  if (daily) {
    input.suitability = {{"annual rain 820 mm, inside 500 to 1,000 mm"}, {}, {}, {}};
    input.cell_qualifying_t_ha = {4.125, std::numeric_limits<double>::quiet_NaN()};
  }
  input.inputs = {{"contracts.csv", std::string(64, 'a'), "contracts"}};
  input.answers = answers;
  return build_document(input);
}

}  // namespace rickyard
