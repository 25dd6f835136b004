#include "planner/calibration/modelled_regions.h"

#include <algorithm>
#include <cmath>

#include "planner/quality/bands.h"
#include "planner/quality/contract_terms.h"

namespace rickyard {
namespace {

constexpr double kHarvestedShare = 0.97;

// Tonnes, tonnes x N and tonnes passing every point but nitrogen of one row and year, for one hectare; mean over variants.
struct RowYear {
  double t_ha = 0, n_t = 0, passed_t = 0;
};

RowYear row_year(const ContractForecast& row, int year, const QualitySettings& settings, double ln_screenings_max) {
  RowYear sum;
  for (int v = 0; v < row.variants; ++v)
    for (std::size_t k = 0; k < row.units.size(); ++k) {
      const UnitHarvest& unit = row.at(year, static_cast<int>(k), v);
      const double t = row.share[k] * unit.yield_t_ha / row.variants;
      const double fails = screenings_failure(unit.ln_screenings, settings.screenings_sigma, ln_screenings_max);
      sum.t_ha += t;
      sum.n_t += t * unit.n_pct;
      sum.passed_t += t * (1 - fails) * (1 - unit.germination_failure) * (1 - unit.other_failure);
    }
  return sum;
}

double variety_figure(const Season& season, const std::string& variety, std::optional<double> VarietyRow::*figure, double without) {
  for (const auto& row : season.varieties)
    if (!variety.empty() && row.variety == variety) return (row.*figure).value_or(without);
  return without;
}

// What does not change from year to year; returns the harvested hectares of each row.
std::vector<double> fill_fixed(ModelledRegion& region, const Season& season, const QualitySettings& settings) {
  std::vector<double> harvested_ha;
  double planted = 0, harvested = 0, factor = 0, offset = 0, passed = 0;
  for (int c : region.contracts) {
    const auto& row = season.contracts[static_cast<std::size_t>(c)];
    const ContractTerms terms = contract_terms(season, settings, row);
    const double ha = terms.planted_ha * row.harvested_share.value_or(kHarvestedShare);
    harvested_ha.push_back(ha);
    planted += terms.planted_ha;
    harvested += ha;
    factor += ha * variety_figure(season, row.variety, &VarietyRow::yield_factor, 1);
    offset += ha * variety_figure(season, row.variety, &VarietyRow::n_offset_pct, 0);
    passed += ha * (1 - terms.other_failure);
  }
  if (!(harvested > 0)) return harvested_ha;
  region.harvested_share = harvested / planted;
  region.yield_factor = factor / harvested;
  region.n_offset_pct = offset / harvested;
  region.passed_other = passed / harvested;
  return harvested_ha;
}

void fill_years(ModelledRegion& region, const std::vector<double>& harvested_ha, const std::vector<int>& positions,
                const HarvestForecast& forecast, const QualitySettings& settings, double ln_screenings_max) {
  for (int y : positions) {
    double ha = 0;
    RowYear sum;
    for (std::size_t i = 0; i < region.contracts.size(); ++i) {
      const auto& row = forecast.contracts[static_cast<std::size_t>(region.contracts[i])];
      const RowYear part = row_year(row, y, settings, ln_screenings_max);
      ha += harvested_ha[i];
      sum.t_ha += harvested_ha[i] * part.t_ha;
      sum.n_t += harvested_ha[i] * part.n_t;
      sum.passed_t += harvested_ha[i] * part.passed_t;
    }
    ModelledRegion::Year year;
    if (sum.t_ha > 0) year = {sum.t_ha / ha, sum.n_t / sum.t_ha, sum.passed_t / sum.t_ha};
    region.years.push_back(year);
  }
}

void fill_means(ModelledRegion& region, bool from_weather) {
  double grown = 0;
  region.mean = {0, 0, 0};
  for (const auto& year : region.years) {
    region.mean.yield_t_ha += year.yield_t_ha / static_cast<double>(region.years.size());
    if (!(year.yield_t_ha > 0)) continue;
    grown += 1;
    region.mean.n_pct += year.n_pct;
    region.mean.passed_other += year.passed_other;
  }
  if (!(grown > 0)) return;
  region.mean.n_pct /= grown;
  region.mean.passed_other /= grown;
  if (!from_weather || grown < 2) return;
  for (const auto& year : region.years) {
    const double rest = year.yield_t_ha / region.mean.yield_t_ha - 1;
    region.yield_relative_var += rest * rest / (static_cast<double>(region.years.size()) - 1);
    if (year.yield_t_ha > 0) region.n_var += (year.n_pct - region.mean.n_pct) * (year.n_pct - region.mean.n_pct) / (grown - 1);
  }
}

double mean_over(const std::vector<ModelledRegion>& regions, double ModelledRegion::*figure) {
  double sum = 0;
  for (const auto& region : regions) sum += region.*figure / static_cast<double>(regions.size());
  return sum;
}

}  // namespace

int ModelledRegions::find(const std::string& region) const {
  const auto found = std::find_if(regions.begin(), regions.end(), [&](const ModelledRegion& one) { return one.region == region; });
  return found == regions.end() ? -1 : static_cast<int>(found - regions.begin());
}

bool ModelledRegions::has_year(int crop_year) const { return std::find(years.begin(), years.end(), crop_year) != years.end(); }

const ModelledRegion::Year& ModelledRegions::at(int region, int crop_year) const {
  const ModelledRegion& one = regions[static_cast<std::size_t>(region)];
  const auto found = std::find(years.begin(), years.end(), crop_year);
  return found == years.end() ? one.mean : one.years[static_cast<std::size_t>(found - years.begin())];
}

double ModelledRegions::mean_yield_relative_var() const { return mean_over(regions, &ModelledRegion::yield_relative_var); }
double ModelledRegions::mean_n_var() const { return mean_over(regions, &ModelledRegion::n_var); }

ModelledRegions modelled_regions(const Season& season, const HarvestForecast& forecast, std::optional<int> without_year) {
  const auto settings = QualitySettings::from(season.parameters);
  const double ln_screenings_max = band_limits(season, {}).ln_screenings_max;
  ModelledRegions out;
  out.from_weather = forecast.from_weather;
  std::vector<int> positions;
  for (std::size_t y = 0; y < forecast.years.size(); ++y) {
    if (forecast.from_weather && forecast.years[y] == without_year) continue;
    positions.push_back(static_cast<int>(y));
    if (forecast.from_weather) out.years.push_back(forecast.years[y]);
  }
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    int r = out.find(season.contracts[c].region);
    if (r < 0) {
      r = static_cast<int>(out.regions.size());
      out.regions.emplace_back();
      out.regions.back().region = season.contracts[c].region;
    }
    out.regions[static_cast<std::size_t>(r)].contracts.push_back(static_cast<int>(c));
  }
  for (auto& region : out.regions) {
    const auto harvested_ha = fill_fixed(region, season, settings);
    fill_years(region, harvested_ha, positions, forecast, settings, ln_screenings_max);
    fill_means(region, forecast.from_weather);
  }
  return out;
}

}  // namespace rickyard
