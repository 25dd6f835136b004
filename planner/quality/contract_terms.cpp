#include "planner/quality/contract_terms.h"

#include <fmt/format.h>

#include <algorithm>

#include "planner/base/normal.h"
#include "planner/base/problem.h"
#include "planner/crop/default_run.h"
#include "planner/quality/grain.h"

namespace rickyard {
namespace {

constexpr double kTypicalNPct = 1.48, kHeadlandShare = 0.12, kHarvestedShare = 0.97;

[[noreturn]] void refuse(const ContractRow& row, const char* field, std::string value, const char* message, const char* remedy) {
  throw InputError({{Severity::error, fmt::format("{}:{} ({})", row.at.file.empty() ? "contracts" : row.at.file, row.at.row, field),
                     std::move(value), message, remedy}});
}

const VarietyRow* variety_of(const Season& season, const std::string& name) {
  if (name.empty()) return nullptr;
  const auto found =
      std::find_if(season.varieties.begin(), season.varieties.end(), [&](const VarietyRow& row) { return row.variety == name; });
  return found == season.varieties.end() ? nullptr : &*found;
}

double all_grain_n(const ContractRow& row, double sigma) {
  const double typical = row.typical_n_pct.value_or(kTypicalNPct);
  if (row.n_basis == NitrogenBasis::all_grain) return typical;
  if (!row.n_basis_limit_pct)
    refuse(row, "n_basis_limit_pct", "", "an accepted basis needs the limit it was accepted under", "give the acceptance limit in % N");
  if (typical >= *row.n_basis_limit_pct)
    refuse(row, "typical_n_pct", fmt::format("{}", typical), "the mean of accepted grain lies at or above its acceptance limit",
           "check both figures or use n_basis all_grain");
  return all_grain_mean(typical, sigma, *row.n_basis_limit_pct);
}

}  // namespace

ContractTerms contract_terms(const Season& season, const QualitySettings& settings, const ContractRow& row) {
  ContractTerms terms;
  if (!row.yield_t_ha) refuse(row, "yield_t_ha", "", "a contract needs the yield of an average year", "give tonnes per hectare");
  const double headland = row.headland_share.value_or(kHeadlandShare);
  terms.yield_t_ha =
      row.yield_basis == YieldBasis::in_field ? whole_field_yield(*row.yield_t_ha, headland, settings.headland_loss_t_ha) : *row.yield_t_ha;
  terms.n_pct = all_grain_n(row, settings.n_sigma_pct);
  terms.screenings_pct = row.typical_screenings_pct.value_or(settings.default_screenings_pct);
  terms.other_failure = row.typical_other_failure_pct ? *row.typical_other_failure_pct / 100 : settings.default_other_failure;
  terms.n_added_pct =
      0.1 * (row.n_rate_kg_ha.value_or(settings.n_rate_reference_kg_ha) - settings.n_rate_reference_kg_ha) / settings.n_rate_kg_per_tenth;
  // The row's own yield and N are those of its variety already; only the default N knows no variety.
  const auto* variety = variety_of(season, row.variety);
  if (variety && (row.typical_n_is_default || !row.typical_n_pct)) terms.n_added_pct += variety->n_offset_pct.value_or(0);
  terms.planted_ha =
      row.planted_ha ? *row.planted_ha : row.contracted_t.value_or(0) / (row.harvested_share.value_or(kHarvestedShare) * terms.yield_t_ha);
  return terms;
}

CropRun default_run(const Season& season, const SeasonPatch& patch) { return default_run(season, patch.sowing_shift_days); }

CropRun contract_run(const Season& season, const ContractRow& row, const SeasonPatch& patch) {
  CropRun run = default_run(season, patch);
  if (row.sow_planned) {
    run.planned = moved({row.sow_planned->month().as_number(), row.sow_planned->day().as_number()}, patch.sowing_shift_days);
    // The wait is kept when a case moves the planned date.
    if (row.sow_latest) run.wait_days = std::max(static_cast<int>((*row.sow_latest - *row.sow_planned).days()), 0);
  }
  if (const auto* variety = variety_of(season, row.variety)) run.thermal_factor = variety->thermal_factor.value_or(1);
  return run;
}

const Region& region_of(const Land& land, const std::string& id, const std::string& place) {
  const auto found = std::find_if(land.regions.begin(), land.regions.end(), [&](const Region& region) { return region.id == id; });
  double ha = 0;
  if (found != land.regions.end())
    for (const auto& share : found->units) ha += share.ha;
  if (!(ha > 0))
    throw InputError(
        {{Severity::error, place, id, "no land of this region has weather and soil", "check the region id and that the rasters cover it"}});
  return *found;
}

}  // namespace rickyard
