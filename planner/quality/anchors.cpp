#include "planner/quality/anchors.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "planner/base/problem.h"
#include "planner/quality/bands.h"

namespace rickyard {
namespace {

// The base records of the years that count.
struct Base {
  const CropRecords& records;
  std::vector<int> years;  // positions
};

// Calls visit(record, hectare share) for every year and unit of a row, years outside.
template <typename Visit>
void for_each_record(const Base& base, const RowUnits& row, Visit&& visit) {
  for (int y : base.years)
    for (std::size_t k = 0; k < row.units.size(); ++k) visit(base.records.at(row.runs[k], y, row.places[k]), row.share[k]);
}

double mean_relative_yield(const Base& base, const RowUnits& row, const std::string& place) {
  double sum = 0;
  for_each_record(base, row, [&](const CropRecord& record, double share) { sum += share * record.relative_yield; });
  if (!(sum > 0))
    throw InputError({{Severity::error, place, "", "the crop comes to harvest in no year of the archive",
                       "check temperature units, sowing dates and season_end"}});
  return sum / static_cast<double>(base.years.size());
}

// Grain that passes screenings in one record: its share of the archive's tonnes, and what the harvest spoils of it.
struct FineGrain {
  double share = 0, harvest_failure = 0;
};

// One entry for each year, unit and part. The parts of a unit are one heap to a sieve: their screenings are those of the unit's grain.
std::vector<FineGrain> fine_grain(const QualitySettings& settings, double ln_typical, double ln_screenings_max, const Base& base,
                                  const RowUnits& row, double tonnes) {
  std::vector<FineGrain> out;
  const std::size_t units = row.units_per_part();
  for (int y : base.years)
    for (std::size_t k = 0; k < units; ++k) {
      double yield = 0, rise = 0;
      const auto each_part = [&](auto&& visit) {
        for (std::size_t e = k; e < row.units.size(); e += units) visit(base.records.at(row.runs[e], y, row.places[e]), row.share[e]);
      };
      each_part([&](const CropRecord& record, double) {
        yield += record.relative_yield;
        rise += record.relative_yield * screenings_rise(settings, record);
      });
      if (!(yield > 0)) continue;
      const double passed = 1 - screenings_failure(ln_typical + rise / yield, settings.screenings_sigma, ln_screenings_max);
      each_part([&](const CropRecord& record, double share) {
        out.push_back({share * record.relative_yield * passed / tonnes, harvest_failure(settings, record)});
      });
    }
  return out;
}

// Share of the archive's tonnes that passes screenings and germination.
double passing(const QualitySettings& settings, const std::vector<FineGrain>& fine, double held) {
  double sum = 0;
  for (const auto& grain : fine) sum += grain.share * (1 - germination_failure(settings, grain.harvest_failure, held));
  return sum;
}

// The share of tonnes that is to pass: all but the typical failures. Where screenings alone take more than half of these, the harvest keeps
// the other half, for weather that spoils no grain would be no weather; the row then fails more than its typical share.
double passing_target(const std::vector<FineGrain>& fine, double typical_failure) {
  double passed_screenings = 0;
  for (const auto& grain : fine) passed_screenings += grain.share;
  return std::min(1 - typical_failure, passed_screenings * (1 - 0.5 * typical_failure));
}

// Least harvest failure that must count as usual so that `target` of the tonnes passes.
double held_failure(const QualitySettings& settings, const std::vector<FineGrain>& fine, double target) {
  constexpr int kHalvings = 60;
  if (passing(settings, fine, 0) >= target) return 0;
  double low = 0, high = 0;
  for (const auto& grain : fine) high = std::max(high, grain.harvest_failure);
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = 0.5 * (low + high);
    (passing(settings, fine, middle) < target ? low : high) = middle;
  }
  return high;
}

RowAnchor row_anchor(const QualitySettings& settings, const ContractTerms& terms, double ln_screenings_max, const Base& base,
                     const RowUnits& row, const ContractRow& contract) {
  RowAnchor anchor;
  anchor.shift.contract = contract.contract;
  const double years = static_cast<double>(base.years.size());
  const double mean_yield = mean_relative_yield(base, row, fmt::format("contracts row {} ({})", contract.at.row, contract.region));
  anchor.shift.yield_a = terms.yield_t_ha / mean_yield;
  for_each_record(base, row, [&](const CropRecord& record, double share) {
    anchor.means.water_loss_share += share * record.water_loss_share() / years;
    anchor.means.drainage_winter_mm += share * record.drainage_winter_mm / years;
  });
  anchor.shift.mean_water_loss_share = anchor.means.water_loss_share;
  anchor.shift.mean_drainage_winter_mm = anchor.means.drainage_winter_mm;
  // Tonnes-weighted means.
  double tonnes = 0, n = 0, rise = 0;
  for_each_record(base, row, [&](const CropRecord& record, double share) {
    const double t = share * record.relative_yield;
    tonnes += t;
    n += t * model_n_pct(settings, terms.n_pct, anchor.means, record);
    rise += t * screenings_rise(settings, record);
  });
  anchor.shift.n_shift_pct = terms.n_pct - n / tonnes;
  anchor.shift.ln_screenings_shift = -rise / tonnes;
  const double ln_typical = std::log(terms.screenings_pct) + anchor.shift.ln_screenings_shift;
  const auto fine = fine_grain(settings, ln_typical, ln_screenings_max, base, row, tonnes);
  // Where weather alone fails more than the row's typical share, growers know part of it: the same points come off every year.
  anchor.held_failure = held_failure(settings, fine, passing_target(fine, terms.other_failure));
  anchor.shift.germination_held_points = 100 * anchor.held_failure;
  anchor.passed_other = passing(settings, fine, anchor.held_failure);
  anchor.shift.other_failure_shift = other_failure(terms.other_failure, anchor.passed_other) - terms.other_failure;
  return anchor;
}

}  // namespace

double other_failure(double typical_failure, double passed_other) {
  return passed_other > 0 ? std::clamp(1 - (1 - typical_failure) / passed_other, 0.0, 1.0) : 0;
}

Anchors compute_anchors(const Season& season, const Land& land, const CropRecords& base, const std::vector<CropRun>& requests,
                        std::optional<int> without_year) {
  const auto settings = QualitySettings::from(season.parameters);
  const double ln_screenings_max = band_limits(season, {}).ln_screenings_max;
  Base counted{base, {}};
  for (std::size_t y = 0; y < base.harvest_years.size(); ++y)
    if (base.harvest_years[y] != without_year) counted.years.push_back(static_cast<int>(y));
  Anchors anchors;
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    const auto& contract = season.contracts[c];
    const auto row =
        row_units(season, base.runs, requests[c], region_of(land, contract.region, fmt::format("contracts row {}", contract.at.row)));
    anchors.terms.push_back(contract_terms(season, settings, contract));
    anchors.rows.push_back(row_anchor(settings, anchors.terms.back(), ln_screenings_max, counted, row, contract));
    anchors.rows.back().shift.thermal_factor = requests[c].thermal_factor;
  }
  for (const auto& backup : season.backups) {
    const std::string place = fmt::format("backups row {} ({})", backup.at.row, backup.region);
    anchors.backup_yield.push_back(
        backup.region.empty()
            ? 0
            : mean_relative_yield(counted, row_units(season, base.runs, default_run(season, {}), region_of(land, backup.region, place)),
                                  place));
  }
  return anchors;
}

std::vector<std::string> anchor_warnings(const Season& season, const Anchors& anchors) {
  constexpr double kTellable = 0.005;
  std::vector<std::string> out;
  for (std::size_t c = 0; c < anchors.rows.size(); ++c) {
    const double fails = 1 - anchors.rows[c].passed_other, typical = anchors.terms[c].other_failure;
    if (fails > typical + kTellable)
      out.push_back(fmt::format(
          "contract \"{}\": typical screenings of {:.1f} % fail more grain in the dry years of this weather than its typical failure "
          "of {:.1f} % leaves room for; {:.1f} % fails in the mean of the years",
          season.contracts[c].contract, anchors.terms[c].screenings_pct, 100 * typical, 100 * fails));
  }
  return out;
}

UnitHarvest anchored_grain(const QualitySettings& settings, const ContractTerms& terms, const RowAnchor& anchor, const CropRecord& record,
                           const SeasonPatch& patch) {
  UnitHarvest grain;
  grain.yield_t_ha = anchor.shift.yield_a * record.relative_yield * patch.yield_factor;
  grain.n_pct = model_n_pct(settings, terms.n_pct, anchor.means, record) + anchor.shift.n_shift_pct + terms.n_added_pct + patch.n_shift_pct;
  grain.ln_screenings = std::log(terms.screenings_pct) + screenings_rise(settings, record) + anchor.shift.ln_screenings_shift;
  grain.germination_failure = germination_failure(settings, harvest_failure(settings, record), anchor.held_failure);
  grain.other_failure = other_failure(patch.other_failure_pct ? *patch.other_failure_pct / 100 : terms.other_failure, anchor.passed_other);
  return grain;
}

}  // namespace rickyard
