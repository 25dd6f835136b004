#include "planner/quality/forecast_by_formulas.h"

#include <algorithm>
#include <cmath>

#include "planner/crop/season_windows.h"
#include "planner/quality/anchors.h"
#include "planner/quality/bands.h"
#include "planner/quality/trade_formulas.h"

namespace rickyard {
namespace {

// Days of sowing after the flat part of the season: as the table plans it, and under the patch. The row's own figures already
// hold what its planned date costs, so only the difference counts.
struct Lateness {
  double planned = 0, patched = 0;
};

// Grain of one row in any year: formulas 3, 4 and 5 with nothing lost to water.
UnitHarvest grain_of(const QualitySettings& settings, const ContractTerms& terms, const SowingLoss& loss, const Lateness& days,
                     double ln_screenings_max, const SeasonPatch& patch) {
  UnitHarvest grain;
  const double at_plan = sowing_factor(loss, days.planned);
  const double f_sow = at_plan > 0 ? sowing_factor(loss, days.patched) / at_plan : 0;
  const double weeks_later = (std::max(days.patched, 0.0) - std::max(days.planned, 0.0)) / 7;
  grain.yield_t_ha = terms.yield_t_ha * f_sow * patch.yield_factor;
  grain.n_pct = terms.n_pct + settings.n_rise_per_week * weeks_later + terms.n_added_pct + patch.n_shift_pct;
  grain.ln_screenings = std::log(terms.screenings_pct);
  const double passed = 1 - screenings_failure(grain.ln_screenings, settings.screenings_sigma, ln_screenings_max);
  grain.other_failure = other_failure(patch.other_failure_pct ? *patch.other_failure_pct / 100 : terms.other_failure, passed);
  return grain;
}

}  // namespace

HarvestForecast forecast_by_formulas(const Season& season, const SeasonPatch& patch) {
  const auto settings = QualitySettings::from(season.parameters);
  const auto& p = season.parameters;
  const SowingLoss loss{p["sowing_loss_pct_day"] / 100, p["sowing_loss_later_pct_day"] / 100, p["sowing_loss_multiplier"]};
  const double ln_screenings_max = band_limits(season, patch).ln_screenings_max;
  const auto years = static_cast<std::size_t>(std::max(p["formula_years"], 1.0));
  HarvestForecast out;
  out.from_weather = false;
  for (std::size_t y = 0; y < years; ++y) {
    out.years.push_back(static_cast<int>(y) + 1);
    out.weights.push_back(1.0 / static_cast<double>(years));
  }
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    const auto& row = season.contracts[c];
    const auto terms = contract_terms(season, settings, row);
    const double sown = season_day(season, season.crop_year, contract_run(season, row, patch).planned);
    const double flat = season_day(season, season.crop_year, default_run(season, {}).planned);
    const Lateness days{season_day(season, season.crop_year, contract_run(season, row, {}).planned) - flat, sown - flat};
    ContractForecast contract;
    contract.contract = static_cast<int>(c);
    contract.units = {-1};
    contract.share = {1};
    contract.anchor.contract = row.contract;
    contract.harvest.assign(years, grain_of(settings, terms, loss, days, ln_screenings_max, patch));
    contract.losses.assign(years, {});
    MeanDates dates;
    dates.sown = sown;
    dates.harvested = row.usual_harvest ? harvest_season_day(season, season.crop_year,
                                                             {row.usual_harvest->month().as_number(), row.usual_harvest->day().as_number()})
                                        : p["formula_harvest_days"];
    contract.dates.assign(years, dates);
    out.contracts.push_back(std::move(contract));
  }
  out.backup_yield_factor.resize(season.backups.size());
  return out;
}

}  // namespace rickyard
