#include "planner/quality/forecast_harvest.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <optional>

#include "planner/base/blocks.h"
#include "planner/base/problem.h"
#include "planner/quality/anchors.h"
#include "planner/quality/crop_runs.h"
#include "planner/quality/season_in_hand.h"
#include "planner/quality/usual_harvest.h"
#include "planner/weather/cell_days.h"

namespace rickyard {
namespace {

// Yield lost step by step from the attainable, in this order, so that the losses add up to what is missing. Attainable: the light and
// warmth of the season caught by a crop sown on the planned date, with nothing lost.
YieldLosses losses_of(double yield_a, const CropRecord& record) {
  YieldLosses losses;
  losses.attainable = yield_a * record.duration_planned;
  double left = yield_a * record.duration * record.sowing_factor;
  losses.sowing = losses.attainable - left;
  const auto take = [&left](double factor) {
    const double lost = left * (1 - factor);
    left -= lost;
    return lost;
  };
  losses.water = take(record.water_factor);
  losses.waterlogging = take(record.waterlogging_factor);
  losses.frost = take(record.frost_factor);
  losses.heat = take(record.heat_factor);
  losses.harvest = take(record.harvest_factor);
  return losses;
}

void add_losses(YieldLosses& sum, const YieldLosses& part, double weight) {
  for (double YieldLosses::*loss : {&YieldLosses::attainable, &YieldLosses::sowing, &YieldLosses::water, &YieldLosses::waterlogging,
                                    &YieldLosses::frost, &YieldLosses::heat, &YieldLosses::harvest})
    sum.*loss += weight * (part.*loss);
}

// Hectare-weighted mean of a date over the units and parts that reached it; -1 where none did.
double mean_date(const CropRecords& records, const RowUnits& row, int year, std::int16_t CropRecord::*date) {
  double sum = 0, reached = 0;
  for (std::size_t e = 0; e < row.units.size(); ++e) {
    const double day = records.at(row.runs[e], year, row.places[e]).*date;
    if (day < 0) continue;
    sum += row.share[e] * day;
    reached += row.share[e];
  }
  return reached > 0 ? sum / reached : -1;
}

HarvestWeather harvest_weather(const QualitySettings& settings, const CropRecords& records, const RowUnits& row, int year) {
  HarvestWeather mean;
  double moisture = 0, harvested = 0;
  for (std::size_t e = 0; e < row.units.size(); ++e) {
    const auto& record = records.at(row.runs[e], year, row.places[e]);
    mean.combine_days += row.share[e] * record.combine_days;
    mean.wet_days += row.share[e] * record.wet_days_harvest;
    mean.late_share += row.share[e] * late_share(record.combine_days, settings.combine_days_needed);
    if (record.harvested < 0) continue;
    moisture += row.share[e] * record.grain_moisture_pct;
    harvested += row.share[e];
  }
  mean.moisture_pct = harvested > 0 ? moisture / harvested : -1;
  return mean;
}

// Grain of a land unit: the parts of drilling together, by their yields (plain where nothing grew).
UnitHarvest mean_of_parts(const std::vector<UnitHarvest>& parts) {
  UnitHarvest mean;
  double yield = 0;
  for (const auto& part : parts) yield += part.yield_t_ha;
  for (const auto& part : parts) {
    const double w = yield > 0 ? part.yield_t_ha / yield : 1.0 / static_cast<double>(parts.size());
    for (double UnitHarvest::*figure :
         {&UnitHarvest::n_pct, &UnitHarvest::ln_screenings, &UnitHarvest::germination_failure, &UnitHarvest::other_failure})
      mean.*figure += w * (part.*figure);
  }
  mean.yield_t_ha = yield / static_cast<double>(parts.size());
  for (double UnitHarvest::*share : {&UnitHarvest::germination_failure, &UnitHarvest::other_failure})
    mean.*share = std::min(mean.*share, 1.0);
  return mean;
}

// Hectare-weighted mean of the cell centres.
void set_place(const Land& land, ContractForecast& contract) {
  contract.lon_deg = contract.lat_deg = 0;
  for (std::size_t k = 0; k < contract.units.size(); ++k) {
    const auto& cell = land.cells[static_cast<std::size_t>(land.units[static_cast<std::size_t>(contract.units[k])].cell)];
    contract.lon_deg += contract.share[k] * cell.lon_deg;
    contract.lat_deg += contract.share[k] * cell.lat_deg;
  }
}

ContractForecast contract_forecast(const QualitySettings& settings, const ContractTerms& terms, const RowAnchor& anchor,
                                   const CropRecords& records, const RowUnits& row, const SeasonPatch& patch) {
  ContractForecast out;
  const std::size_t units = row.units_per_part();
  out.units.assign(row.units.begin(), row.units.begin() + static_cast<std::ptrdiff_t>(units));
  for (std::size_t k = 0; k < units; ++k) out.share.push_back(row.share[k] * row.parts);
  out.anchor = anchor.shift;
  std::vector<UnitHarvest> parts(static_cast<std::size_t>(row.parts));
  for (int y = 0; y < static_cast<int>(records.harvest_years.size()); ++y) {
    for (std::size_t k = 0; k < units; ++k) {
      for (std::size_t p = 0; p < parts.size(); ++p) {
        const std::size_t e = p * units + k;
        parts[p] = anchored_grain(settings, terms, anchor, records.at(row.runs[e], y, row.places[e]), patch);
      }
      out.harvest.push_back(mean_of_parts(parts));
    }
    YieldLosses losses;
    for (std::size_t e = 0; e < row.units.size(); ++e)
      add_losses(losses, losses_of(anchor.shift.yield_a * patch.yield_factor, records.at(row.runs[e], y, row.places[e])), row.share[e]);
    out.losses.push_back(losses);
    out.dates.push_back({mean_date(records, row, y, &CropRecord::sown), mean_date(records, row, y, &CropRecord::heading),
                         mean_date(records, row, y, &CropRecord::ripe), mean_date(records, row, y, &CropRecord::harvested)});
    out.harvest_weather.push_back(harvest_weather(settings, records, row, y));
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
      for (std::size_t e = 0; e < rows[c].units.size(); ++e)
        out[y] += weight * rows[c].share[e] * (records.at(rows[c].runs[e], static_cast<int>(y), rows[c].places[e]).*figure);
    }
  return out;
}

std::vector<double> backup_factor(const CropRecords& records, const RowUnits& row, double archive_mean) {
  std::vector<double> out;
  for (int y = 0; y < static_cast<int>(records.harvest_years.size()); ++y) {
    double sum = 0;
    for (std::size_t e = 0; e < row.units.size(); ++e) sum += row.share[e] * records.at(row.runs[e], y, row.places[e]).relative_yield;
    out.push_back(sum / archive_mean);
  }
  return out;
}

// What grows: as planned in past seasons, or with what is known of the season in hand in front of their remainders.
struct Grow {
  bool as_known = false;
  std::optional<KnownWeather> weather;
};

GrownCrop grow(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive,
               const std::vector<double>& harvest_factors, const Grow& how, const Growing& growing) {
  GrownCrop grown;
  grown.requests = run_requests(season, patch, harvest_factors);
  for (std::size_t c = 0; how.as_known && c < season.contracts.size(); ++c)
    grown.requests[c].sown_on = known_sowing(season, season.contracts[c]);
  grown.records = run_crop(land, archive, crop_runs(season, land, grown.requests, patch), season, patch, growing,
                           how.weather ? &*how.weather : nullptr);
  leave_out_year(grown.records, season.crop_year);
  for (std::size_t c = 0; c < season.contracts.size(); ++c)
    grown.rows.push_back(
        row_units(season, grown.records.runs, grown.requests[c], region_of(land, season.contracts[c].region, "contracts")));
  return grown;
}

void refuse_other_years(const GrownCrop& base, const GrownCrop& changed, const SeasonPatch& patch) {
  if (changed.records.harvest_years == base.records.harvest_years) return;
  throw InputError({{Severity::error, "case (sowing_shift_days)", std::to_string(patch.sowing_shift_days),
                     "the shifted sowing dates lie outside the weather of some years", "shift by fewer days or give a longer archive"}});
}

void refuse_no_years(const CropRecords& records, int left_out) {
  if (!records.harvest_years.empty()) return;
  throw InputError({{Severity::error, "rasters", std::to_string(left_out),
                     "the only whole season of the weather archive is the season of the plan itself", "give weather of earlier years"}});
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

BaseHarvest grow_base(const Season& season, const Land& land, const WeatherArchive& archive, const Growing& growing) {
  return grow_base(season, land, archive, usual_harvest_factors(season, land, archive, growing), growing);
}

BaseHarvest grow_base(const Season& season, const Land& land, const WeatherArchive& archive, const std::vector<double>& harvest_factors,
                      const Growing& growing) {
  BaseHarvest base;
  base.harvest_factors = harvest_factors;
  base.crop = grow(season, {}, land, archive, base.harvest_factors, {}, growing);
  refuse_no_years(base.crop.records, season.crop_year);
  base.anchors = compute_anchors(season, land, base.crop.records, base.crop.requests);
  return base;
}

HarvestForecast forecast_harvest(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive,
                                 const Growing& growing) {
  return forecast_harvest(season, patch, land, archive, grow_base(season, land, archive, growing), growing);
}

HarvestForecast forecast_harvest(const Season& season, const SeasonPatch& patch, const Land& land, const WeatherArchive& archive,
                                 const BaseHarvest& base, const Growing& growing, Knowledge knowledge) {
  std::optional<GrownCrop> changed;
  const Grow how = knowledge == Knowledge::up_to_date ? Grow{true, known_weather(season, archive)} : Grow{};
  if (changes_weather(patch) || patch.sowing_shift_days != 0 || how.weather || (how.as_known && any_sowing_known(season))) {
    if (growing.progress) growing.progress->stage("growing the crop as far as it is known, and under the case");
    changed = grow(season, patch, land, archive, base.harvest_factors, how, growing);
    refuse_other_years(base.crop, *changed, patch);
  }
  const auto& [records, requests, rows] = changed ? *changed : base.crop;
  const Anchors& anchors = base.anchors;

  const auto settings = QualitySettings::from(season.parameters);
  std::vector<double> planted_ha;
  HarvestForecast out;
  out.years = records.harvest_years;
  out.contracts.resize(season.contracts.size());
  for_each_block(static_cast<int>(season.contracts.size()), growing.threads, [&, &records = records, &rows = rows](int row) {
    const auto c = static_cast<std::size_t>(row);
    out.contracts[c] = contract_forecast(settings, anchors.terms[c], anchors.rows[c], records, rows[c], patch);
    out.contracts[c].contract = row;
    set_place(land, out.contracts[c]);
  });
  for (const auto& terms : anchors.terms) planted_ha.push_back(terms.planted_ha);
  out.rain_mm = weighted_by_year(records, rows, planted_ha, &CropRecord::rain_mm);
  // Kinds and weights of years are those of the archive: the outlook speaks of past years as they were.
  out.rain_apr_jul_mm = weighted_by_year(base.crop.records, base.crop.rows, planted_ha, &CropRecord::rain_apr_jul_mm);
  out.weights = outlook_weights(season.outlook, out.rain_apr_jul_mm);
  for (std::size_t b = 0; b < season.backups.size(); ++b) {
    const auto& backup = season.backups[b];
    if (backup.region.empty())
      out.backup_yield_factor.emplace_back();
    else
      out.backup_yield_factor.push_back(
          backup_factor(records, row_units(season, records.runs, default_run(season, patch), region_of(land, backup.region, "backups")),
                        anchors.backup_yield[b]));
  }
  return out;
}

}  // namespace rickyard
