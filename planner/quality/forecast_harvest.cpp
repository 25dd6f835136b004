#include "planner/quality/forecast_harvest.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <optional>

#include "planner/base/problem.h"
#include "planner/crop/crop_run.h"
#include "planner/quality/anchors.h"
#include "planner/quality/crop_runs.h"
#include "planner/quality/usual_harvest.h"
#include "planner/weather/cell_days.h"

namespace rickyard {
namespace {

// Yield lost step by step from the attainable, in this order, so that the losses add up to what is missing.
YieldLosses losses_of(double attainable_t_ha, const CropRecord& record) {
  YieldLosses losses;
  double left = attainable_t_ha;
  const auto take = [&left](double factor) {
    const double lost = left * (1 - factor);
    left -= lost;
    return lost;
  };
  losses.sowing = take(record.sowing_factor);
  losses.water = take(record.water_factor);
  losses.waterlogging = take(record.waterlogging_factor);
  losses.heat = take(record.heat_factor);
  losses.frost = take(record.frost_factor);
  losses.harvest = take(record.harvest_factor);
  return losses;
}

void add_losses(YieldLosses& sum, const YieldLosses& part, double weight) {
  for (double YieldLosses::*loss : {&YieldLosses::sowing, &YieldLosses::water, &YieldLosses::waterlogging, &YieldLosses::heat,
                                    &YieldLosses::frost, &YieldLosses::harvest})
    sum.*loss += weight * (part.*loss);
}

// Hectare-weighted mean of a date over the units that reached it; -1 where none did.
double mean_date(const CropRecords& records, const RowUnits& row, int year, std::int16_t CropRecord::*date) {
  double sum = 0, reached = 0;
  for (std::size_t k = 0; k < row.units.size(); ++k) {
    const double day = records.at(row.run, year, row.places[k]).*date;
    if (day < 0) continue;
    sum += row.share[k] * day;
    reached += row.share[k];
  }
  return reached > 0 ? sum / reached : -1;
}

ContractForecast contract_forecast(const QualitySettings& settings, const ContractTerms& terms, const RowAnchor& anchor,
                                   const CropRecords& records, const RowUnits& row, const SeasonPatch& patch) {
  ContractForecast out;
  out.units = row.units;
  out.share = row.share;
  out.anchor = anchor.shift;
  const double attainable = anchor.shift.yield_a * terms.yield_factor * patch.yield_factor;
  for (int y = 0; y < static_cast<int>(records.harvest_years.size()); ++y) {
    YieldLosses losses;
    for (std::size_t k = 0; k < row.units.size(); ++k) {
      const auto& record = records.at(row.run, y, row.places[k]);
      out.harvest.push_back(anchored_grain(settings, terms, anchor, record, patch));
      add_losses(losses, losses_of(attainable * record.duration, record), row.share[k]);
    }
    out.losses.push_back(losses);
    out.dates.push_back({mean_date(records, row, y, &CropRecord::sown), mean_date(records, row, y, &CropRecord::heading),
                         mean_date(records, row, y, &CropRecord::ripe), mean_date(records, row, y, &CropRecord::harvested)});
  }
  return out;
}

// A figure of the records by year, weighted by planted hectares over rows and by hectares inside a row.
std::vector<double> weighted_by_year(const CropRecords& records, const std::vector<RowUnits>& rows, const std::vector<double>& planted_ha,
                                     double CropRecord::*figure) {
  const double total = std::accumulate(planted_ha.begin(), planted_ha.end(), 0.0);
  std::vector<double> out(records.harvest_years.size(), 0);
  for (std::size_t y = 0; y < out.size(); ++y)
    for (std::size_t c = 0; c < rows.size(); ++c) {
      const double weight = total > 0 ? planted_ha[c] / total : 1.0 / static_cast<double>(rows.size());
      for (std::size_t k = 0; k < rows[c].units.size(); ++k)
        out[y] += weight * rows[c].share[k] * (records.at(rows[c].run, static_cast<int>(y), rows[c].places[k]).*figure);
    }
  return out;
}

std::vector<double> backup_factor(const CropRecords& records, const RowUnits& row, double archive_mean) {
  std::vector<double> out;
  for (int y = 0; y < static_cast<int>(records.harvest_years.size()); ++y) {
    double sum = 0;
    for (std::size_t k = 0; k < row.units.size(); ++k) sum += row.share[k] * records.at(row.run, y, row.places[k]).relative_yield;
    out.push_back(sum / archive_mean);
  }
  return out;
}

GrownCrop grow(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive,
               const std::vector<double>& harvest_factors, int threads, Progress* progress) {
  GrownCrop grown;
  grown.requests = run_requests(season, patch, harvest_factors);
  grown.records = run_crop(land, archive, crop_runs(season, land, grown.requests, patch), season, patch, threads, progress);
  for (std::size_t c = 0; c < season.contracts.size(); ++c)
    grown.rows.push_back(row_units(grown.records.runs, grown.requests[c], region_of(land, season.contracts[c].region, "contracts")));
  return grown;
}

void refuse_other_years(const GrownCrop& base, const GrownCrop& changed, const SeasonPatch& patch) {
  if (changed.records.harvest_years == base.records.harvest_years) return;
  throw InputError({{Severity::error, "case (sowing_shift_days)", std::to_string(patch.sowing_shift_days),
                     "the shifted sowing dates lie outside the weather of some years", "shift by fewer days or give a longer archive"}});
}

}  // namespace

std::vector<double> outlook_weights(const Outlook& outlook, const std::vector<double>& rain_mm) {
  const std::size_t n = rain_mm.size();
  const bool equal = outlook.dry == outlook.normal && outlook.normal == outlook.wet;
  if (equal || n < 3) return std::vector<double>(n, 1.0 / static_cast<double>(n));
  std::vector<std::size_t> order(n);
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return rain_mm[a] < rain_mm[b]; });
  const auto class_of = [n](std::size_t rank) { return 3 * rank < n ? 0 : 3 * rank < 2 * n ? 1 : 2; };
  const std::array<double, 3> chance = {outlook.dry, outlook.normal, outlook.wet};
  std::array<double, 3> size{};
  for (std::size_t rank = 0; rank < n; ++rank) ++size[static_cast<std::size_t>(class_of(rank))];
  std::vector<double> weights(n);
  for (std::size_t rank = 0; rank < n; ++rank) {
    const auto k = static_cast<std::size_t>(class_of(rank));
    weights[order[rank]] = chance[k] / size[k];
  }
  const double sum = std::accumulate(weights.begin(), weights.end(), 0.0);
  for (double& weight : weights) weight /= sum;
  return weights;
}

BaseHarvest grow_base(const Season& season, const Land& land, const WeatherArchive& archive, int threads, Progress* progress) {
  BaseHarvest base;
  base.harvest_factors = usual_harvest_factors(season, land, archive, threads, progress);
  base.crop = grow(season, {}, land, archive, base.harvest_factors, threads, progress);
  base.anchors = compute_anchors(season, land, base.crop.records, base.crop.requests);
  return base;
}

HarvestForecast forecast_harvest(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive,
                                 int threads, Progress* progress) {
  return forecast_harvest(season, patch, land, archive, grow_base(season, land, archive, threads, progress), threads, progress);
}

HarvestForecast forecast_harvest(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive,
                                 const BaseHarvest& base, int threads, Progress* progress) {
  std::optional<GrownCrop> changed;
  if (changes_weather(patch) || patch.sowing_shift_days != 0) {
    if (progress) progress->stage("growing the crop under the case");
    changed = grow(season, patch, land, archive, base.harvest_factors, threads, progress);
    refuse_other_years(base.crop, *changed, patch);
  }
  const auto& [records, requests, rows] = changed ? *changed : base.crop;
  const Anchors& anchors = base.anchors;

  const auto settings = QualitySettings::from(season.parameters);
  std::vector<double> planted_ha;
  HarvestForecast out;
  out.years = records.harvest_years;
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    out.contracts.push_back(contract_forecast(settings, anchors.terms[c], anchors.rows[c], records, rows[c], patch));
    out.contracts.back().contract = static_cast<int>(c);
    planted_ha.push_back(anchors.terms[c].planted_ha);
  }
  out.rain_apr_jul_mm = weighted_by_year(records, rows, planted_ha, &CropRecord::rain_apr_jul_mm);
  out.rain_mm = weighted_by_year(records, rows, planted_ha, &CropRecord::rain_mm);
  // A case keeps the base weights: the outlook speaks of past years as they were.
  const auto base_rain =
      changed ? weighted_by_year(base.crop.records, base.crop.rows, planted_ha, &CropRecord::rain_apr_jul_mm) : out.rain_apr_jul_mm;
  out.weights = outlook_weights(season.outlook, base_rain);
  for (std::size_t b = 0; b < season.backups.size(); ++b) {
    const auto& backup = season.backups[b];
    if (backup.region.empty())
      out.backup_yield_factor.emplace_back();
    else
      out.backup_yield_factor.push_back(
          backup_factor(records, row_units(records.runs, default_run(season, patch), region_of(land, backup.region, "backups")),
                        anchors.backup_yield[b]));
  }
  return out;
}

}  // namespace rickyard
