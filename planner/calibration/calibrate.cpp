#include "planner/calibration/calibrate.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <set>

#include "planner/calibration/farm_spread.h"
#include "planner/calibration/panel_bias.h"
#include "planner/calibration/past_deliveries.h"
#include "planner/quality/contract_terms.h"

namespace rickyard {
namespace {

constexpr double kLeastYield = 0.5, kMostYield = 14, kLeastN = 0.8, kMostN = 3;  // bounds of the contracts table

double parameter(const Season& season, const char* name, double fallback) {
  return season.parameters.known(name) ? season.parameters[name] : fallback;
}

// The residual law as it stands before any delivery: the target spread less what the model gives, in variance.
struct DefaultResidual {
  double total = 0, common_share = 0.5;
};

DefaultResidual default_residual(const Season& season, const ModelledRegions& modelled, bool of_yield) {
  const double target = of_yield ? parameter(season, "yield_cv", 0.10) : parameter(season, "n_year_sigma_pct", 0.09);
  const double floor = of_yield ? parameter(season, "residual_floor_yield", 0.03) : parameter(season, "residual_floor_n_pct", 0.03);
  const double scale = parameter(season, of_yield ? "residual_scale_yield" : "residual_scale_n", 1);
  DefaultResidual out;
  out.common_share = of_yield ? parameter(season, "yield_common_share", 0.5) : parameter(season, "n_common_share", 0.6);
  for (const auto& region : modelled.regions) {
    const double of_model = of_yield ? region.yield_relative_var : region.n_var;
    const double rest = modelled.from_weather ? std::max(target * target - of_model, floor * floor) : target * target;
    out.total += scale * scale * rest / static_cast<double>(modelled.regions.size());
  }
  return out;
}

PanelSettings panel_settings(const Season& season, const ModelledRegions& modelled, const PastDeliveries& past, bool of_yield) {
  PanelSettings s;
  const auto residual = default_residual(season, modelled, of_yield);
  s.regions = static_cast<int>(modelled.regions.size());
  s.common_prior = of_yield ? parameter(season, "calibration_prior_yield", 0.08) : parameter(season, "calibration_prior_n_pct", 0.06);
  s.between_prior = of_yield ? parameter(season, "calibration_between_yield", 0.04) : parameter(season, "calibration_between_n_pct", 0.03);
  s.default_year_var = residual.common_share * residual.total;
  s.default_rest_var = (1 - residual.common_share) * residual.total;
  s.default_weight = parameter(season, "calibration_prior_seasons", 5);
  s.find_trend = of_yield;
  for (const auto& one : past.seasons)  // a year that the archive lacks was modelled by the mean: its weather is noise
    if (modelled.from_weather && !modelled.has_year(one.crop_year))
      s.year_noise_var[one.crop_year] = of_yield ? modelled.mean_yield_relative_var() : modelled.mean_n_var();
  return s;
}

std::vector<Deviation> yield_deviations(const ModelledRegions& modelled, const PastDeliveries& past) {
  std::vector<Deviation> out;
  for (const auto& one : past.seasons) {
    const double model = modelled.at(one.region, one.crop_year).yield_t_ha;
    if (one.yield_t_ha && *one.yield_t_ha > 0 && model > 0) out.push_back({one.region, one.crop_year, std::log(*one.yield_t_ha / model)});
  }
  return out;
}

std::vector<Deviation> n_deviations(const ModelledRegions& modelled, const PastDeliveries& past, double sigma, double floor_n_pct) {
  std::vector<Deviation> out;
  for (const auto& one : past.seasons)
    if (const auto n = all_grain_n(one, sigma, floor_n_pct); n && modelled.at(one.region, one.crop_year).yield_t_ha > 0)
      out.push_back({one.region, one.crop_year, *n - modelled.at(one.region, one.crop_year).n_pct});
  return out;
}

std::string seasons_text(int n) { return fmt::format("{} season{}", n, n == 1 ? "" : "s"); }

std::string region_note(const PanelBias::Region& region, const std::string& own_value) {
  if (region.seasons == 0) return "no deliveries of its own: moved by what the regions have in common";
  if (region.seasons < kFewSeasons) return fmt::format("too few: {}; its deliveries alone say {}", seasons_text(region.seasons), own_value);
  return fmt::format("its deliveries alone say {}", own_value);
}

// Everything one call works on.
struct Work {
  const Season& season;
  const ModelledRegions& modelled;
  const PastDeliveries& past;
  Calibration& out;
  double weight = 1;  // history_weight
  double floor_n_pct = -std::numeric_limits<double>::infinity();
  QualitySettings settings;
};

void add_common(Work& work, const PanelBias& found, const std::string& what, const std::string& unit, double scale) {
  const std::string few = found.seasons < kFewSeasons ? "too few: " : "";
  work.out.entries.push_back({"common bias of " + what, unit, 0, scale * work.weight * found.common, found.seasons, scale * found.common_se,
                              work.weight * found.common_moved_by,
                              few + fmt::format("what all regions deliver over the user's figures; spread between regions {:.3f} {}",
                                                scale * std::sqrt(found.between_var), unit)});
}

void calibrate_yields(Work& work, const PanelBias& found) {
  for (std::size_t r = 0; r < work.modelled.regions.size(); ++r) {
    const auto& region = found.regions[r];
    for (int c : work.modelled.regions[r].contracts) {
      auto& row = work.out.season.contracts[static_cast<std::size_t>(c)];
      const double user = contract_terms(work.season, work.settings, work.season.contracts[static_cast<std::size_t>(c)]).yield_t_ha;
      const double calibrated = std::clamp(user * std::exp(work.weight * region.bias), kLeastYield, kMostYield);
      row.yield_t_ha = calibrated;
      row.yield_basis = YieldBasis::whole_field;
      work.out.entries.push_back({"yield, " + row.contract, "t/ha", user, calibrated, region.seasons, calibrated * region.se,
                                  work.weight * region.moved_by, region_note(region, fmt::format("{:.2f}", user * std::exp(region.own)))});
    }
  }
  add_common(work, found, "yield", "%", 100);
  if (found.slope_se > 0)
    work.out.entries.push_back({"trend of yield", "%/year", 0, found.slope_used ? 100 * found.slope : 0, found.seasons,
                                100 * found.slope_se, found.slope_used ? work.weight : 0,
                                found.slope_used
                                    ? std::string("taken out: figures are those of the last season delivered")
                                    : fmt::format("{:+.2f} % a year is not told from none, and is not taken out", 100 * found.slope)});
}

void calibrate_nitrogen(Work& work, const PanelBias& found) {
  for (std::size_t r = 0; r < work.modelled.regions.size(); ++r) {
    const auto& region = found.regions[r];
    for (int c : work.modelled.regions[r].contracts) {
      auto& row = work.out.season.contracts[static_cast<std::size_t>(c)];
      const double user = contract_terms(work.season, work.settings, work.season.contracts[static_cast<std::size_t>(c)]).n_pct;
      const double calibrated = std::clamp(user + work.weight * region.bias, kLeastN, kMostN);
      row.typical_n_is_default = row.typical_n_is_default || !row.typical_n_pct;  // the variety's offset goes on being added
      row.typical_n_pct = calibrated;
      row.n_basis = NitrogenBasis::all_grain;
      row.n_basis_limit_pct.reset();
      work.out.entries.push_back({"N, " + row.contract, "% N", user, calibrated, region.seasons, region.se, work.weight * region.moved_by,
                                  region_note(region, fmt::format("{:.3f}", user + region.own))});
    }
  }
  add_common(work, found, "N", "% N", 1);
}

// A parameter of the season, moved; entries are made also where the parameter table does not hold the name yet.
void move_parameter(Work& work, CalibrationEntry entry) {
  auto& parameters = work.out.season.parameters;
  if (parameters.known(entry.name)) {
    const auto& spec = parameters.spec(entry.name);
    entry.calibrated = std::clamp(entry.calibrated, spec.min, spec.max);
    parameters.set_from_data(entry.name, entry.calibrated);
  }
  work.out.entries.push_back(std::move(entry));
}

// What the deliveries themselves vary by from season to season, less what the model varies by: where the model swings more than the
// deliveries do, what it leaves unexplained must not be drawn on top of its own swings. Shrunk towards the default like the rest.
struct SpreadLeft {
  double var = 0, df = 0;
};
SpreadLeft spread_left(const Work& work, const std::vector<Deviation>& deviations, const PanelBias& found, const PanelSettings& s,
                       bool of_yield) {
  std::vector<double> sum(work.modelled.regions.size(), 0), count(sum.size(), 0);
  const auto delivered = [&](const Deviation& d) {
    const auto& model = work.modelled.at(d.region, d.crop_year);
    const double trend = found.slope_used ? found.slope * d.crop_year : 0;
    return d.value - trend + (of_yield ? std::log(model.yield_t_ha) : model.n_pct);
  };
  for (const auto& d : deviations) {
    sum[static_cast<std::size_t>(d.region)] += delivered(d);
    ++count[static_cast<std::size_t>(d.region)];
  }
  double squares = 0, df = 0;
  for (const auto& d : deviations) {
    const auto r = static_cast<std::size_t>(d.region);
    squares += std::pow(delivered(d) - sum[r] / count[r], 2);
  }
  for (double n : count) df += std::max(n - 1, 0.0);
  const double total = s.default_year_var + s.default_rest_var;
  if (!(df > 0)) return {total, 0};
  const double of_model = of_yield ? work.modelled.mean_yield_relative_var() : work.modelled.mean_n_var();
  const double floor = parameter(work.season, of_yield ? "residual_floor_yield" : "residual_floor_n_pct", 0.03);
  return {(s.default_weight * total + df * std::max(squares / df - of_model, floor * floor)) / (s.default_weight + df), df};
}

void calibrate_residual(Work& work, const std::vector<Deviation>& deviations, const PanelBias& found, const PanelSettings& s,
                        bool of_yield) {
  const char* const name = of_yield ? "residual_scale_yield" : "residual_scale_n";
  const double total = s.default_year_var + s.default_rest_var;
  if (!(total > 0) || found.year_df + found.rest_df <= 0) return;
  const double user = parameter(work.season, name, 1);
  const double around_model = found.year_var + found.rest_var;
  const SpreadLeft left = spread_left(work, deviations, found, s, of_yield);
  const bool held = left.var < around_model;
  const double ratio = std::sqrt(std::min(around_model, left.var) / total);
  const double year_weight = s.default_weight + found.year_df, rest_weight = s.default_weight + found.rest_df;
  const double error_of_var =
      held ? left.var * std::sqrt(2 / (s.default_weight + left.df))
           : std::sqrt(2 * found.year_var * found.year_var / year_weight + 2 * found.rest_var * found.rest_var / rest_weight);
  const double moved = 1 - s.default_weight * (s.default_year_var / year_weight + s.default_rest_var / rest_weight) / total;
  move_parameter(
      work,
      {name, "1", user, user * (1 + work.weight * (ratio - 1)), found.seasons, user * error_of_var / (2 * ratio * total),
       work.weight * moved,
       fmt::format("deliveries spread by {:.3f} around the model, {:.3f} of it shared by the regions of a season; the default is {:.3f}{}",
                   std::sqrt(found.data_year_var + found.data_rest_var), std::sqrt(found.data_year_var), std::sqrt(total),
                   held ? fmt::format("; deliveries vary by no more than the model and {:.3f} together", std::sqrt(left.var)) : "")});
}

// The spread between farms comes first: it turns accepted nitrogen back. Returns the spread in force after it.
double calibrate_farm_spread(Work& work) {
  const double user = work.season.parameters["n_sigma_farm_pct"];
  const FarmSpread found = farm_spread(work.past, work.modelled, work.floor_n_pct);
  if (!(found.sigma_pct > 0)) return user;
  const double prior = parameter(work.season, "calibration_prior_farm_sigma", 0.25);
  double w = found.se_ln > 0 ? prior * prior / (prior * prior + found.se_ln * found.se_ln) : 1;
  const bool few = found.seasons < kFewSeasons;
  if (few) w = std::min(w, found.seasons / (found.seasons + 10.0));
  const double calibrated = user * std::exp(work.weight * w * std::log(found.sigma_pct / user));
  const double se_ln = std::sqrt((1 - w) * (1 - w) * prior * prior + w * w * found.se_ln * found.se_ln);
  const std::string how = found.from_growers ? "spread of growers inside a region and season" : "accepted mean and accepted share together";
  move_parameter(work, {"n_sigma_farm_pct", "% N", user, calibrated, found.seasons, calibrated * se_ln, work.weight * w,
                        fmt::format("{}{}, {} regions and seasons: deliveries alone say {:.3f}", few ? "too few: " : "", how,
                                    found.region_seasons, found.sigma_pct)});
  return work.out.season.parameters["n_sigma_farm_pct"];
}

[[maybe_unused]] bool holds_year(const PastDeliveries& past, int crop_year) {
  return std::any_of(past.seasons.begin(), past.seasons.end(), [&](const RegionSeason& one) { return one.crop_year == crop_year; });
}

void describe_use(Calibration& out, const PastDeliveries& past, double weight) {
  std::set<int> years, regions;
  for (const auto& one : past.seasons) {
    years.insert(one.crop_year);
    regions.insert(one.region);
  }
  out.lines.push_back(fmt::format("calibrated on deliveries of {} in {} region{}{}", seasons_text(static_cast<int>(years.size())),
                                  regions.size(), regions.size() == 1 ? "" : "s",
                                  weight < 1 ? fmt::format(", history_weight {:g}", weight) : ""));
}

}  // namespace

Calibration calibrate(const Season& season, const HarvestForecast& forecast, std::optional<int> without_year) {
  Calibration out{{}, {}, false, season};
  const double weight = parameter(season, "history_weight", 1);
  if (season.history.empty()) {
    out.lines.push_back("no history of deliveries: the user's yields and nitrogen stand as given");
    return out;
  }
  if (!(weight > 0)) {
    out.lines.push_back("history_weight is 0: past deliveries are not used");
    return out;
  }
  const auto modelled = modelled_regions(season, forecast, without_year);
  const auto past = past_deliveries(season, modelled, without_year);
  assert(!without_year || (!holds_year(past, *without_year) && !modelled.has_year(*without_year)));
  out.lines = past.left_out;
  Work work{season,
            modelled,
            past,
            out,
            weight,
            season.spec.floor_n_pct.value_or(-std::numeric_limits<double>::infinity()),
            QualitySettings::from(season.parameters)};

  const double sigma = calibrate_farm_spread(work);
  const auto yields = yield_deviations(modelled, past);
  const auto nitrogen = n_deviations(modelled, past, sigma, work.floor_n_pct);
  if (yields.empty() && nitrogen.empty() && out.entries.empty()) {
    out.lines.push_back("the history tells neither yield nor nitrogen of a contracted region: nothing was calibrated");
    return out;
  }
  out.used = true;
  const auto yield_settings = panel_settings(season, modelled, past, true), n_settings = panel_settings(season, modelled, past, false);
  const auto yield_bias = panel_bias(yields, yield_settings), n_bias = panel_bias(nitrogen, n_settings);
  if (!yields.empty()) calibrate_yields(work, yield_bias);
  if (!nitrogen.empty()) calibrate_nitrogen(work, n_bias);
  if (!yields.empty()) calibrate_residual(work, yields, yield_bias, yield_settings, true);
  if (!nitrogen.empty()) calibrate_residual(work, nitrogen, n_bias, n_settings, false);
  describe_use(out, past, weight);
  return out;
}

}  // namespace rickyard
