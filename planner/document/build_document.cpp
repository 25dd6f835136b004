#include "planner/document/build_document.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "planner/quality/bands.h"
#include "planner/supply/residual.h"

namespace rickyard {
namespace {

const char* model_name(ForecastModel model) { return model == ForecastModel::daily ? "daily" : "formulas"; }

PlanDocument::SeasonBlock season_block(const DocumentInput& in) {
  const auto& season = in.season;
  PlanDocument::SeasonBlock block;
  block.crop_year = season.crop_year;
  block.as_of = season.as_of;
  block.case_name = in.patch.name.empty() ? "base" : in.patch.name;
  const BandLimits limits = band_limits(season, in.patch);
  block.limit_n_pct = limits.limit;
  block.stop_n_pct = limits.stop;
  block.limit_policy = season.spec.limit_policy == LimitPolicy::fixed ? "fixed" : "after_harvest";
  block.seed = season.seed;
  block.currency = season.currency;
  block.model = model_name(season.model);
  block.weather_known_through = in.weather_known_through;
  return block;
}

std::string number_text(double value) { return fmt::format("{:.10g}", value); }

// Litres asked for in the demand table and not in the need: their barley lies outside the plan months.
double litres_left_out(const DocumentInput& in) {
  double asked = 0;
  for (const auto& row : in.season.demand)
    if (row.unit == NeedUnit::spirit_lpa) asked += row.amount * in.patch.demand_factor;
  return asked - in.need.spirit_lpa;
}

std::vector<std::string> warnings(const DocumentInput& in) {
  std::vector<std::string> all = in.warnings;
  all.insert(all.end(), in.sourcing.warnings.begin(), in.sourcing.warnings.end());
  const std::size_t n = in.forecast.years.size();
  if (in.forecast.from_weather && n == 1)
    all.push_back("one year, no range: the archive holds one whole season, so every range shows draws around that year only");
  if (!in.forecast.from_weather)
    all.push_back("model = formulas: years are drawn from the spread in the parameters, they are not past weather years");
  if (!in.patch.name.empty())
    all.push_back("a case is planned as if it were known today: its early orders are those of a buyer who sees it coming");
  if (const double left_out = litres_left_out(in); left_out > 0.5)
    all.push_back(
        fmt::format("{:.0f} LPA of the demand table are left out: their barley falls before the plan's first month, where it counts as "
                    "supplied, or after its last",
                    left_out));
  const bool weather_case = in.patch.temperature_shift_c != 0 ||
                            std::any_of(in.patch.rain_factor.begin(), in.patch.rain_factor.end(), [](double f) { return f != 1; });
  if (!in.forecast.from_weather && weather_case)
    all.push_back("model = formulas: rain factors and temperature shifts of the case change nothing, there is no weather to change");
  all.push_back("ranges include the draws around each weather year, so they are wider than the yearly dots");
  all.push_back("orders for months after intake are planned as if each year were known at intake_closed");
  if (in.sourcing.status == SolveStatus::stopped || (in.answers && !in.answers->decision.proved))
    all.push_back(
        fmt::format("stopped before the optimum was proved: this is the best plan so far, at most {:.2g} % dearer than the best there is",
                    100 * solution_block(in).gap));
  if (in.calibration) all.insert(all.end(), in.calibration->lines.begin(), in.calibration->lines.end());
  if (in.answers && (in.answers->decision.frontier.empty() || in.answers->limit_ladder.size() < std::size(kLadderLimits)))
    all.push_back(
        "stopped before every answer was worked out: tables of cost against risk, of amounts or of other limits are short or empty");
  all.push_back(fmt::format(
      "not part of this plan: {}sowing curves, cases side by side, drivers, {}advice",
      in.answers ? "" : "cost against risk (frontier), worth of one more hectare, waiting and lots, which the contract command answers; ",
      in.calibration ? "" : "calibration, "));
  all.emplace_back(kNoBacktest);
  return all;
}

// Year-to-year spread of every contracted region: what the model gives over the archive, what is drawn on top, both together.
void add_spread(const DocumentInput& in, std::vector<PlanDocument::Assumption>& all) {
  const auto& reference = in.supply.reference;
  const auto regions = contracted_regions(in.season);
  const std::size_t n = regions.size();
  if (reference.model_sd.size() != 2 * n || reference.residual_sd.size() != 2 * n) return;
  const auto add = [&](const std::string& what, const std::string& unit, std::size_t i) {
    const double model = reference.model_sd[i], drawn = reference.residual_sd[i];
    all.push_back({what, fmt::format("{:.4f} (model {:.4f}, drawn {:.4f})", std::hypot(model, drawn), model, drawn), unit, "derived",
                   "model over the archive years, residual to the target spread (METHODS.md, Residuals)"});
  };
  for (std::size_t r = 0; r < n; ++r) {
    add("spread of yield, " + regions[r], "1", r);
    add("spread of N, " + regions[r], "%N", n + r);
  }
}

}  // namespace

std::vector<PlanDocument::Assumption> assumption_blocks(const DocumentInput& in) {
  std::vector<PlanDocument::Assumption> all;
  const auto& parameters = in.season.parameters;
  for (const auto& name : parameters.names()) {
    const auto& spec = parameters.spec(name);
    const bool user = parameters.set_by_user(name);
    all.push_back({name, number_text(parameters[name]), std::string(spec.unit), user ? "yours" : std::string(spec.status),
                   user ? fmt::format("season.toml; default {}", number_text(spec.fallback)) : std::string(spec.source)});
  }
  for (const auto& used : in.season.defaults_used)
    all.push_back(
        {used.name, used.value, used.unit, used.status, fmt::format("{} ({} row{})", used.source, used.rows, used.rows == 1 ? "" : "s")});
  for (const auto& declared : in.season.declared) all.push_back({declared.what, declared.value, "", "yours", declared.source});
  all.insert(all.end(), in.stage_assumptions.begin(), in.stage_assumptions.end());
  if (in.calibration) mention_calibration(*in.calibration, all);
  add_spread(in, all);
  return all;
}

PlanDocument::MapBlock map_block(const Land& land, const std::vector<double>& cell_qualifying_t_ha) {
  constexpr std::size_t kMostCells = 5000;  // above it the map shows regions only
  PlanDocument::MapBlock block;
  for (const auto& region : land.regions) block.regions.push_back({region.id, region.name, region.outline_geojson});
  if (land.cells.size() > kMostCells) return block;
  for (std::size_t i = 0; i < cell_qualifying_t_ha.size(); ++i) {
    if (std::isnan(cell_qualifying_t_ha[i])) continue;
    const auto& cell = land.cells[i];
    block.cells.push_back({cell.lon_deg, cell.lat_deg, cell.width_deg, cell.height_deg, cell_qualifying_t_ha[i]});
  }
  return block;
}

// The highest limit at which grain was taken, by year: limit_max where a programme scenario took grain above the stop.
std::vector<PlanDocument::LimitUsed> limits_used(const DocumentInput& in) {
  constexpr double kLeastTonnes = 2e-5;  // what the accounts count as nothing
  const BandLimits limits = band_limits(in.season, in.patch);
  std::vector<PlanDocument::LimitUsed> used;
  for (int year : in.forecast.years) used.push_back({year, limits.limit});
  for (const auto& figure : in.sourcing.stock) {
    const auto& heap = in.sourcing.heaps[static_cast<std::size_t>(figure.heap)];
    if (heap.from != Heap::From::contract || heap.band != kBands - 1 || !(figure.arrivals_t > kLeastTonnes)) continue;
    const int scenario = in.sourcing.scenario_of[static_cast<std::size_t>(figure.scenario)];
    used[static_cast<std::size_t>(in.supply.scenarios[static_cast<std::size_t>(scenario)].year)].limit_n_pct = limits.limit_max;
  }
  return used;
}

const std::vector<std::string>& cautions() {
  static const std::vector<std::string> all = {
      "A forecast, not agronomic, financial, legal or food-safety advice. Contract clauses and price cover need a lawyer or a licensed "
      "adviser.",
      "Labels, local codes and qualified advisers rule on spraying and nitrogen; this plan sets no dose.",
      "Mycotoxin risk read from weather is not a test. Hold and test flagged lots; legal limits change.",
      "Grain stores can kill: engulfment, bad air, explosive dust, fumigant gas. No entry without a permit, a gas check and a rescue plan; "
      "fumigation by licensed people only.",
      "Maps are coarse; a cell is not a field. Grower records are private.",
      "Origin and carbon claims need records, not this plan."};
  return all;
}

PlanDocument build_document(const DocumentInput& in) {
  PlanDocument document;
  document.version = in.version;
  document.season = season_block(in);
  document.horizon.first_month = in.sourcing.months.front();
  document.horizon.last_month = in.sourcing.months.back();
  document.horizon.intake_closed = in.sourcing.intake_closed;
  document.years = year_blocks(in.forecast);
  document.regions = region_blocks(in);
  document.contracts = contract_blocks(in);
  document.supply = supply_block(in.supply);
  document.need = need_block(in.need);
  document.cover = cover_block(in);
  document.decisions = decision_blocks(in);
  document.purchases = purchase_blocks(in);
  document.months = month_blocks(in);
  document.stock = stock_blocks(in);
  document.cost = cost_block(in);
  document.solution = solution_block(in);
  document.store = store_block(in);
  document.dependence = dependence_block(in, document.years);
  document.claim_lines = claim_line_blocks(in);
  document.failure = failure_block(in);
  document.carbon = carbon_block(in);
  if (in.answers) add_decision(in, document);
  document.totals = totals_block(document);
  if (in.land) document.map = map_block(*in.land, in.cell_qualifying_t_ha);
  document.limit_used = limits_used(in);
  if (in.calibration) document.calibration = calibration_block(*in.calibration);
  document.warnings = warnings(in);
  document.cautions = cautions();
  document.assumptions = assumption_blocks(in);
  document.inputs = in.inputs;
  return document;
}

}  // namespace rickyard
