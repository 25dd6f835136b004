#include "planner/quality/variants.h"

#include <cmath>
#include <stdexcept>

namespace rickyard {
namespace {

void require(bool same, const char* what) {
  if (!same) throw std::invalid_argument(std::string("the draws of daily rain differ in their ") + what);
}

void check_alike(const HarvestForecast& first, const HarvestForecast& other) {
  require(other.variants == 1, "number of variants");
  require(other.years == first.years, "years");
  require(other.contracts.size() == first.contracts.size(), "contract rows");
  require(other.backup_yield_factor.size() == first.backup_yield_factor.size(), "backups");
  for (std::size_t c = 0; c < first.contracts.size(); ++c) {
    const auto &a = first.contracts[c], &b = other.contracts[c];
    require(b.variants == 1 && a.contract == b.contract && a.units == b.units && a.share == b.share, "land units");
    require(a.harvest.size() == b.harvest.size() && a.losses.size() == b.losses.size() && a.dates.size() == b.dates.size(), "years");
  }
  for (std::size_t b = 0; b < first.backup_yield_factor.size(); ++b)
    require(other.backup_yield_factor[b].size() == first.backup_yield_factor[b].size(), "backups");
}

template <typename T>
void append(std::vector<T>& to, const std::vector<T>& from) {
  to.insert(to.end(), from.begin(), from.end());
}

std::vector<double> mean_of(const std::vector<HarvestForecast>& forecasts, std::vector<double> HarvestForecast::*figure) {
  std::vector<double> mean((forecasts.front().*figure).size(), 0);
  for (const auto& forecast : forecasts)
    for (std::size_t y = 0; y < mean.size(); ++y) mean[y] += (forecast.*figure)[y] / static_cast<double>(forecasts.size());
  return mean;
}

YieldLosses mean_losses(const std::vector<HarvestForecast>& forecasts, std::size_t c, std::size_t y) {
  YieldLosses mean;
  for (double YieldLosses::*loss : {&YieldLosses::attainable, &YieldLosses::sowing, &YieldLosses::water, &YieldLosses::waterlogging,
                                    &YieldLosses::frost, &YieldLosses::heat, &YieldLosses::harvest})
    for (const auto& forecast : forecasts) mean.*loss += forecast.contracts[c].losses[y].*loss / static_cast<double>(forecasts.size());
  return mean;
}

MeanDates mean_dates(const std::vector<HarvestForecast>& forecasts, std::size_t c, std::size_t y) {
  MeanDates mean;
  for (double MeanDates::*date : {&MeanDates::sown, &MeanDates::heading, &MeanDates::ripe, &MeanDates::harvested}) {
    double sum = 0, reached = 0;
    for (const auto& forecast : forecasts) {
      const double day = forecast.contracts[c].dates[y].*date;
      if (day < 0) continue;
      sum += day;
      ++reached;
    }
    mean.*date = reached > 0 ? sum / reached : -1;
  }
  return mean;
}

HarvestWeather mean_harvest_weather(const std::vector<HarvestForecast>& forecasts, std::size_t c, std::size_t y) {
  HarvestWeather mean;
  double moisture = 0, harvested = 0;
  for (const auto& forecast : forecasts) {
    const auto& one = forecast.contracts[c].harvest_weather[y];
    for (double HarvestWeather::*figure : {&HarvestWeather::combine_days, &HarvestWeather::wet_days, &HarvestWeather::late_share})
      mean.*figure += one.*figure / static_cast<double>(forecasts.size());
    if (one.moisture_pct < 0) continue;
    moisture += one.moisture_pct;
    ++harvested;
  }
  mean.moisture_pct = harvested > 0 ? moisture / harvested : -1;
  return mean;
}

bool same_run(const CropRun& a, const CropRun& b) {
  return a.planned == b.planned && a.units == b.units && a.wait_days == b.wait_days && a.thermal_factor == b.thermal_factor &&
         a.drilled_after == b.drilled_after && a.sown_on == b.sown_on;
}

}  // namespace

HarvestForecast merge_variants(const std::vector<HarvestForecast>& forecasts) {
  if (forecasts.empty()) throw std::invalid_argument("there is no forecast to put together");
  for (const auto& forecast : forecasts) check_alike(forecasts.front(), forecast);
  HarvestForecast out = forecasts.front();
  if (forecasts.size() == 1) return out;
  out.variants = static_cast<int>(forecasts.size());
  out.rain_apr_jul_mm = mean_of(forecasts, &HarvestForecast::rain_apr_jul_mm);
  out.rain_mm = mean_of(forecasts, &HarvestForecast::rain_mm);
  for (std::size_t v = 1; v < forecasts.size(); ++v)
    for (std::size_t b = 0; b < out.backup_yield_factor.size(); ++b)
      append(out.backup_yield_factor[b], forecasts[v].backup_yield_factor[b]);
  for (std::size_t c = 0; c < out.contracts.size(); ++c) {
    auto& row = out.contracts[c];
    row.variants = out.variants;
    for (std::size_t v = 1; v < forecasts.size(); ++v) append(row.harvest, forecasts[v].contracts[c].harvest);
    for (std::size_t y = 0; y < row.losses.size(); ++y) row.losses[y] = mean_losses(forecasts, c, y);
    for (std::size_t y = 0; y < row.dates.size(); ++y) row.dates[y] = mean_dates(forecasts, c, y);
    for (std::size_t y = 0; y < row.harvest_weather.size(); ++y) row.harvest_weather[y] = mean_harvest_weather(forecasts, c, y);
  }
  return out;
}

CropRecords pooled_records(const std::vector<const CropRecords*>& records) {
  if (records.empty()) throw std::invalid_argument("there are no crop records to pool");
  const CropRecords& first = *records.front();
  CropRecords out;
  out.runs = first.runs;
  for (const auto* more : records) {
    require(more->harvest_years == first.harvest_years, "years");
    require(more->runs.size() == out.runs.size(), "runs");
    append(out.harvest_years, more->harvest_years);
  }
  const std::size_t years = first.harvest_years.size();
  for (std::size_t r = 0; r < out.runs.size(); ++r) {
    const std::size_t units = out.runs[r].units.size();
    out.records.emplace_back(units * out.harvest_years.size());
    for (std::size_t v = 0; v < records.size(); ++v) {
      require(same_run(out.runs[r], records[v]->runs[r]), "runs");
      for (std::size_t y = 0; y < years; ++y)
        for (std::size_t k = 0; k < units; ++k)
          out.records[r][CropRecords::place_of(units, out.harvest_years.size(), v * years + y, k)] =
              records[v]->at(static_cast<int>(r), static_cast<int>(y), static_cast<int>(k));
    }
  }
  return out;
}

void share_anchors(const Season& season, const Land& land, std::vector<BaseHarvest>& bases) {
  if (bases.empty()) return;
  const auto& requests = bases.front().crop.requests;
  std::vector<const CropRecords*> records;
  for (const auto& base : bases) records.push_back(&base.crop.records);
  const Anchors anchors = records.size() == 1 ? compute_anchors(season, land, *records.front(), requests)
                                              : compute_anchors(season, land, pooled_records(records), requests);
  for (auto& base : bases) base.anchors = anchors;
}

std::vector<double> mean_harvest_factors(const std::vector<std::vector<double>>& factors) {
  std::vector<double> mean(factors.empty() ? 0 : factors.front().size(), 0);
  for (const auto& of_variant : factors) {
    require(of_variant.size() == mean.size(), "contract rows");
    for (std::size_t c = 0; c < mean.size(); ++c) mean[c] += of_variant[c] / static_cast<double>(factors.size());
  }
  for (double& factor : mean) factor = std::round(100 * factor) / 100;
  return mean;
}

}  // namespace rickyard
