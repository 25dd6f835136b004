#include "demo-regions/deliveries.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <numbers>
#include <stdexcept>

#include "demo-regions/random_numbers.h"

namespace rickyard::demo {

const std::vector<RegionTruth> kRegionTruths = {
    {"gruvnish", 5.0, 1.50, 0, 0, 170},  {"tholbrack", 5.1, 1.51, 0, 0, 150}, {"mirrowdale", 5.9, 1.49, -0.06, 0, 620},
    {"ellspan", 6.2, 1.46, 0, 0, 930},   {"vorrimay", 6.1, 1.45, 0, 0, 700},  {"pennuld", 6.0, 1.48, 0, 0.04, 520},
    {"drisselby", 5.8, 1.49, 0, 0, 460}, {"wexmarl", 6.1, 1.47, 0, 0, 430},   {"nethwarra", 5.5, 1.50, 0, 0, 300},
    {"brumsay", 5.8, 1.48, 0, 0, 360},
};

namespace {

constexpr int kApril1 = 91, kJuly1 = 182, kAugust1 = 213, kHarvestFrom = 222, kHarvestTo = 255;  // days of the year
constexpr int kFarms = 24;
constexpr double kFloorN = 1.20;
constexpr double kYieldPerStress = 2.0, kNPerStress = 1.0;  // a severe drought, stress 0.1 over the mean, takes a fifth and adds 0.1 %N

/// Water a full green cover would take: a yearly wave by day, more with a wide daily range. mm.
double demand_mm(int day_of_year, double tmin_c, double tmax_c) {
  const double sun = 0.5 * (1 - std::cos(2 * std::numbers::pi * (day_of_year + 10) / 365.25));  // 0 midwinter, 1 midsummer
  const double mean = std::max(0.0, 0.5 * (tmin_c + tmax_c));
  return (0.3 + 2.6 * sun) * (0.45 + 0.028 * mean) * std::sqrt(std::max(1.0, tmax_c - tmin_c) / 7.5);
}

double cover(int day_of_year) {  // crop share of the demand: bare, growing in by late May, dying off from mid-July
  if (day_of_year < 105 || day_of_year > 225) return 0.35;
  if (day_of_year < 145) return 0.35 + 0.7 * (day_of_year - 105) / 40;
  if (day_of_year < 195) return 1.05;
  return 1.05 - 0.7 * (day_of_year - 195) / 30;
}

double mean_of(const std::vector<FieldBook::CropYear>& years, double FieldBook::CropYear::*field) {
  double sum = 0;
  for (const auto& year : years) sum += year.*field;
  return sum / static_cast<double>(years.size());
}

double limit_in_force(int crop_year) { return crop_year == 2022 ? 1.75 : 1.65; }  // raised once, in the drought

}  // namespace

FieldBook::FieldBook(std::vector<Cell> cells) : cells_(std::move(cells)), deficit_mm_(cells_.size(), 0.0) {}

void FieldBook::take(const YearOfWeather& weather) {
  if (weather.cells != cells_.size()) throw std::runtime_error("demo deliveries: weather of other cells");
  std::vector<CropYear> year(cells_.size());
  std::vector<double> wanted(cells_.size(), 0.0), missed(cells_.size(), 0.0);
  for (int day = 0; day < weather.days; ++day)
    for (std::size_t c = 0; c < cells_.size(); ++c) {
      if (cells_[c].region.empty()) continue;
      const int doy = day + 1;
      const std::size_t at = weather.at(day, c);
      const double rain_mm = 0.1 * weather.rain_dmm[at], tmin_c = 0.1 * weather.tmin_dc[at], tmax_c = 0.1 * weather.tmax_dc[at];
      const double want = cover(doy) * demand_mm(doy, tmin_c, tmax_c);
      const double wetness = 1 - deficit_mm_[c] / cells_[c].water_mm;
      const double used = want * std::clamp(wetness / 0.5, 0.0, 1.0);
      deficit_mm_[c] = std::min(cells_[c].water_mm, deficit_mm_[c] + used - rain_mm);
      const bool spring = doy >= kApril1 && doy < kJuly1, season = doy >= kApril1 && doy < kAugust1;
      if (deficit_mm_[c] < -4 && spring) year[c].soaked_days += 1;
      // Above field capacity a quarter runs off each day, and never more than 12 mm stay.
      if (deficit_mm_[c] < 0) deficit_mm_[c] = std::max(-12.0, 0.75 * deficit_mm_[c]);
      if (season) {
        wanted[c] += want;
        missed[c] += want - used;
        year[c].warmth_c += 0.5 * (tmin_c + tmax_c) / (kAugust1 - kApril1);
      }
      if (rain_mm >= 1 && doy >= kHarvestFrom && doy < kHarvestTo) year[c].harvest_rain_days += 1;
      if (rain_mm >= 1 && doy >= 75 && doy < 97) year[c].march_rain_days += 1;
    }
  for (std::size_t c = 0; c < cells_.size(); ++c) {
    year[c].year = weather.year;
    year[c].stress = wanted[c] > 0 ? missed[c] / wanted[c] : 0;
  }
  years_.push_back(std::move(year));
}

std::vector<FieldBook::CropYear> FieldBook::crop_years(const std::string& region) const {
  std::vector<CropYear> means;
  for (const auto& cells : years_) {
    CropYear mean;
    double n = 0;
    for (std::size_t c = 0; c < cells_.size(); ++c) {
      if (cells_[c].region != region) continue;
      n += 1;
      mean.stress += cells[c].stress;
      mean.soaked_days += cells[c].soaked_days;
      mean.warmth_c += cells[c].warmth_c;
      mean.harvest_rain_days += cells[c].harvest_rain_days;
      mean.march_rain_days += cells[c].march_rain_days;
    }
    if (n == 0) throw std::runtime_error("demo deliveries: no weather cell in " + region);
    mean.year = cells.front().year;
    mean.stress /= n;
    mean.soaked_days /= n;
    mean.warmth_c /= n;
    mean.harvest_rain_days /= n;
    mean.march_rain_days /= n;
    means.push_back(mean);
  }
  return means;
}

namespace {

/// Farms of one region in one year: each with its own yield and N; accepted where N lies between floor and limit.
void deliver_by_farm(Delivery& row, double yield_t_ha, double n_pct, double failure, Draws& draws) {
  const double farm_ha = 0.97 * row.planted_ha / kFarms;
  double accepted_nitrogen = 0;
  for (int farm = 0; farm < kFarms; ++farm) {
    const double tonnes = farm_ha * yield_t_ha * std::exp(0.16 * draws.normal() - 0.0128);
    const double farm_n = n_pct + kFarmSigmaNPct * draws.normal();
    row.delivered_t += tonnes;
    if (farm_n > row.limit_n_pct || farm_n < kFloorN) continue;
    row.qualifying_t += tonnes * (1 - failure);
    accepted_nitrogen += tonnes * (1 - failure) * farm_n;
  }
  row.n_pct = row.qualifying_t > 0 ? accepted_nitrogen / row.qualifying_t : 0;
}

/// Yields are at 14.5 % moisture; a weighbridge weighs the grain as it comes.
void weigh_at_intake(Delivery& row) {
  const double as_weighed = (100 - 14.5) / (100 - row.moisture_pct);
  row.delivered_t *= as_weighed;
  row.qualifying_t *= as_weighed;
}

}  // namespace

std::vector<Delivery> FieldBook::deliveries(unsigned seed, const std::vector<RegionTruth>& truths) const {
  Draws draws(seed, 601);
  std::vector<Delivery> rows;
  for (const auto& truth : truths) {
    const std::vector<CropYear> years = crop_years(truth.region);
    const double mean_stress = mean_of(years, &CropYear::stress), mean_warmth = mean_of(years, &CropYear::warmth_c);
    const double mean_soaked = mean_of(years, &CropYear::soaked_days), mean_harvest = mean_of(years, &CropYear::harvest_rain_days);
    const double mean_march = mean_of(years, &CropYear::march_rain_days);
    const std::size_t first = years.size() > kHistoryYears ? years.size() - kHistoryYears : 0;
    for (std::size_t i = first; i < years.size(); ++i) {
      const CropYear& year = years[i];
      const double stress = year.stress - mean_stress;
      Delivery row;
      row.region = truth.region;
      row.crop_year = year.year;
      row.limit_n_pct = limit_in_force(year.year);
      row.planted_ha = std::round(truth.planted_ha * (1 - 0.015 * static_cast<double>(years.size() - 1 - i)) * (1 + 0.04 * draws.normal()));
      const double weather_yield =
          (1 - kYieldPerStress * stress) * (1 - 0.004 * (year.soaked_days - mean_soaked)) * (1 - 0.04 * (year.warmth_c - mean_warmth));
      const double yield = truth.contract_yield_t_ha * (1 + truth.yield_fault) * weather_yield * std::exp(0.04 * draws.normal());
      const double n_pct = truth.contract_n_pct + truth.n_fault_pct + kNPerStress * stress + 0.04 * draws.normal();
      const double failure = std::clamp(0.05 + 0.008 * (year.harvest_rain_days - mean_harvest), 0.01, 0.35);
      row.screenings_pct = 3.5 * std::exp(2.0 * stress + 0.12 * draws.normal());
      row.moisture_pct = std::clamp(15.5 + 0.12 * (year.harvest_rain_days - mean_harvest) - 5 * stress, 12.5, 21.0);
      row.sown_days_after_april1 = std::max(0, static_cast<int>(std::lround(1.2 * (year.march_rain_days - mean_march + 1))));
      deliver_by_farm(row, yield, n_pct, failure, draws);
      weigh_at_intake(row);
      rows.push_back(row);
    }
  }
  return rows;
}

void write_history(const std::vector<Delivery>& deliveries, const std::string& path) {
  std::ofstream file(path, std::ios::binary);
  file << "region,crop_year,planted_ha,delivered_t,qualifying_t,n_pct,n_basis,screenings_pct,moisture_pct,limit_n_pct,sown\n";
  for (const auto& row : deliveries) {
    const int april1 = days_in_year(row.crop_year) - 274;  // day of the year
    char line[200];
    std::snprintf(line, sizeof line, "%s,%d,%.0f,%.0f,%.0f,%.3f,accepted,%.1f,%.1f,%.2f,%s\n", row.region.c_str(), row.crop_year,
                  row.planted_ha, row.delivered_t, row.qualifying_t, row.n_pct, row.screenings_pct, row.moisture_pct, row.limit_n_pct,
                  iso_date(row.crop_year, april1 + row.sown_days_after_april1).c_str());
    file << line;
  }
  file.close();
  if (!file) throw std::runtime_error(path + ": cannot be written");
}

}  // namespace rickyard::demo
