#include "demo-regions/weather_generator.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numbers>

#include "demo-regions/random_numbers.h"
#include "demo-regions/smooth_fields.h"
#include "demo-regions/weather_laws.h"

namespace rickyard::demo {
namespace {

constexpr int kModes = 24;

std::int16_t tenths(double value) { return static_cast<std::int16_t>(std::lround(10 * value)); }

class Generator {
 public:
  Generator(const std::vector<CellClimate>& cells, unsigned seed) : cells_(cells), draws_(seed, 501), wet_(cells.size(), false) {
    std::vector<Place> places;
    for (const auto& cell : cells) places.push_back({cell.lon_deg, cell.lat_deg});
    rain_weights_ = correlated_field_weights(places, kRainLengthKm, kModes);
    temperature_weights_ = correlated_field_weights(places, kTemperatureLengthKm, kModes);
    residual_ = draw_modes(2);
  }

  YearOfWeather year(const YearAnomaly& anomaly) {
    YearOfWeather out;
    out.year = anomaly.year;
    out.days = days_in_year(anomaly.year);
    out.cells = cells_.size();
    const std::size_t size = out.cells * static_cast<std::size_t>(out.days);
    out.rain_dmm.resize(size);
    out.tmin_dc.resize(size);
    out.tmax_dc.resize(size);
    for (int day = 0; day < out.days; ++day) one_day(anomaly, day, out);
    return out;
  }

 private:
  Eigen::MatrixXd draw_modes(int fields) {
    Eigen::MatrixXd modes(kModes, fields);
    for (int f = 0; f < fields; ++f)
      for (int k = 0; k < kModes; ++k) modes(k, f) = draws_.normal();
    return modes;
  }

  void one_day(const YearAnomaly& anomaly, int day, YearOfWeather& out) {
    // The residuals of every place share one recursion, so it runs on the modes: columns tmax, tmin.
    residual_ = residual_ * residual_law_.a.transpose() + draw_modes(2) * residual_law_.b.transpose();
    const Eigen::MatrixXd rain_field = rain_weights_ * draw_modes(2);  // columns: occurrence, amount
    const Eigen::MatrixXd residual_field = temperature_weights_ * residual_;
    for (std::size_t c = 0; c < cells_.size(); ++c) {
      const auto row = static_cast<Eigen::Index>(c);
      const RainLaw law = rain_law(cells_[c], anomaly, day + 1);
      const double chance = 0.5 * std::erfc(-rain_field(row, 0) / std::numbers::sqrt2);
      const bool wet = chance < (wet_[c] ? law.wet_after_wet : law.wet_after_dry);
      wet_[c] = wet;
      const double rain_mm = wet ? kLeastRainMm + (law.mean_wet_day_mm - kLeastRainMm) * gamma_(rain_field(row, 1)) : 0;
      const TemperatureLaw warmth = temperature_law(cells_[c], anomaly, day + 1, wet);
      const double tmax_c = warmth.tmax_mean_c + warmth.tmax_sd_c * residual_field(row, 0);
      const double tmin_c = std::min(warmth.tmin_mean_c + warmth.tmin_sd_c * residual_field(row, 1), tmax_c - 0.5);
      const std::size_t at = out.at(day, c);
      out.rain_dmm[at] = tenths(std::min(rain_mm, 400.0));
      out.tmax_dc[at] = tenths(tmax_c);
      out.tmin_dc[at] = tenths(tmin_c);
    }
  }

  const std::vector<CellClimate>& cells_;
  Draws draws_;
  std::vector<bool> wet_;
  GammaTable gamma_;
  ResidualLaw residual_law_;
  Eigen::MatrixXd rain_weights_, temperature_weights_;
  Eigen::MatrixXd residual_;  // [mode][tmax, tmin]
};

}  // namespace

int days_in_year(int year) { return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) ? 366 : 365; }

std::string iso_date(int year, int day_of_year) {
  using namespace std::chrono;
  const year_month_day date = sys_days(std::chrono::year(year) / January / 1) + days(day_of_year - 1);
  const auto padded = [](unsigned value) { return (value < 10 ? "-0" : "-") + std::to_string(value); };
  return std::to_string(year) + padded(static_cast<unsigned>(date.month())) + padded(static_cast<unsigned>(date.day()));
}

void generate_weather(const std::vector<CellClimate>& cells, const std::vector<YearAnomaly>& years, unsigned seed,
                      const std::function<void(const YearOfWeather&)>& take) {
  Generator generator(cells, seed);
  for (const auto& anomaly : years) take(generator.year(anomaly));
}

}  // namespace rickyard::demo
