#include "demo-regions/wide_weather.h"

#include <algorithm>
#include <array>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numbers>

#include "demo-regions/random_numbers.h"
#include "demo-regions/weather_generator.h"
#include "demo-regions/weather_laws.h"

namespace rickyard::demo {
namespace {

constexpr double kLeeRainMm = 600, kCoastRainMm = 1500;  // annual rain where the lee share of the laws is 1 and 0
constexpr int kLeeSteps = 32;
constexpr float kShowers = 0.5F;       // a cell's rain lies within this share about the field's, half of it either way
constexpr float kLocalWarmthC = 0.6F;  // and its temperatures within this many degrees

CellClimate reference_cell(double lee) { return {0, 56, 50, kLeeRainMm + (1 - lee) * (kCoastRainMm - kLeeRainMm)}; }

/// z below which a standard normal lies with this probability.
double normal_point(double probability) { return -std::numbers::sqrt2 * boost::math::erfc_inv(2 * probability); }

/// 32 bits that depend on cell and day alone (a mixer of two multiplications, Steele et al. 2014).
std::uint32_t local_bits(std::uint64_t cell, std::uint64_t day) {
  std::uint64_t x = cell * 0x9E3779B97F4A7C15U + day * 0xD1B54A32D192ED03U;
  x = (x ^ (x >> 30U)) * 0xBF58476D1CE4E5B9U;
  x = (x ^ (x >> 27U)) * 0x94D049BB133111EBU;
  return static_cast<std::uint32_t>(x >> 32U);
}
/// -0.5 .. 0.5 from eight of the bits.
float local_share(std::uint32_t bits, unsigned shift) { return static_cast<float>((bits >> shift) & 255U) / 255.0F - 0.5F; }

std::int16_t hundredths(float value) { return static_cast<std::int16_t>(std::lrint(100.0F * value)); }

/// The gamma table in single precision: [z], z from -5 to 5.
class FloatGamma {
 public:
  FloatGamma() {
    const GammaTable exact;
    for (std::size_t i = 0; i < value_.size(); ++i) value_[i] = static_cast<float>(exact(-5 + static_cast<double>(i) / 200));
  }
  float operator()(float z) const {
    const float position = (std::clamp(z, -4.999F, 4.999F) + 5) * 200;
    const auto below = static_cast<std::size_t>(position);
    const float share = position - static_cast<float>(below);
    return value_[below] + share * (value_[below + 1] - value_[below]);
  }

 private:
  std::array<float, 2001> value_{};
};

}  // namespace

WideCells::WideCells(const NodeGrid& nodes, const std::vector<CellClimate>& cells, std::vector<std::size_t> row_start)
    : nodes_(nodes), row_start_(std::move(row_start)) {
  const auto covariance = [&](double length_km) {
    const Eigen::MatrixXd modes = node_modes(nodes, length_km, nodes.size());
    return Eigen::MatrixXd(modes * modes.transpose());
  };
  const Eigen::MatrixXd rain = covariance(kRainLengthKm), warmth = covariance(kTemperatureLengthKm);
  for (const auto& climate : cells) {
    const NodeCell place = node_cell(nodes, climate.lon_deg, climate.lat_deg);
    const std::array<double, 4> weight = {(1 - place.u) * (1 - place.v), place.u * (1 - place.v), (1 - place.u) * place.v,
                                          place.u * place.v};
    const auto node = [&](std::size_t i) {
      return (place.row + static_cast<int>(i / 2)) * nodes.columns + place.column + static_cast<int>(i % 2);
    };
    const auto deviation = [&](const Eigen::MatrixXd& field) {
      double variance = 0;
      for (std::size_t a = 0; a < 4; ++a)
        for (std::size_t b = 0; b < 4; ++b) variance += weight[a] * weight[b] * field(node(a), node(b));
      return std::sqrt(variance);
    };
    CellClimate low = climate;
    low.elevation_m = 50, low.lat_deg = 56;
    const double offset = temperature_law(climate, {}, 1, false).tmin_mean_c - temperature_law(low, {}, 1, false).tmin_mean_c;
    const double lee = std::clamp((kCoastRainMm - climate.annual_rain_mm) / (kCoastRainMm - kLeeRainMm), 0.0, 1.0);
    cells_.push_back({place.column, static_cast<float>(place.u), static_cast<float>(lee), static_cast<float>(climate.annual_rain_mm),
                      static_cast<float>(offset), static_cast<float>(1 / deviation(rain)), static_cast<float>(1 / deviation(warmth))});
  }
  for (std::size_t r = 0; r + 1 < row_start_.size(); ++r) {
    const bool empty = row_start_[r] == row_start_[r + 1];
    const NodeCell place = empty ? NodeCell{} : node_cell(nodes, cells[row_start_[r]].lon_deg, cells[row_start_[r]].lat_deg);
    rows_.push_back({place.row, static_cast<float>(place.v)});
  }
}

WideFields::WideFields(const NodeGrid& nodes, int days, unsigned seed) : nodes_(nodes.size()) {
  Draws draws(seed, 502);
  const auto normals = [&] {
    Eigen::MatrixXd drawn(nodes_, 2);
    for (int f = 0; f < 2; ++f)
      for (int k = 0; k < nodes_; ++k) drawn(k, f) = draws.normal();
    return drawn;
  };
  const Eigen::MatrixXd rain = node_modes(nodes, kRainLengthKm, nodes_), warmth = node_modes(nodes, kTemperatureLengthKm, nodes_);
  const ResidualLaw law;
  Eigen::MatrixXd residual = normals();
  values_.reserve(static_cast<std::size_t>(days) * fields * static_cast<std::size_t>(nodes_));
  for (int day = 0; day < days; ++day) {
    residual = residual * law.a.transpose() + normals() * law.b.transpose();
    const Eigen::MatrixXd rain_field = rain * normals(), warmth_field = warmth * residual;
    for (const Eigen::MatrixXd* field : {&rain_field, &warmth_field})
      for (Eigen::Index i = 0; i < field->size(); ++i) values_.push_back(static_cast<float>(field->data()[i]));
  }
}

/// Laws of one day, from those of single cells.
struct WideYear::DayLaw {
  std::array<float, kLeeSteps + 2> z_after_dry{}, z_after_wet{}, mean_wet_share{};  // [lee]; mean rain of a wet day / annual rain
  struct Warmth {
    float tmin_coast = 0, tmin_lee = 0, tmax_coast = 0, tmax_lee = 0, tmin_sd = 0, tmax_sd = 0;
  };
  std::array<Warmth, 2> warmth{};  // dry, wet

  DayLaw(const YearAnomaly& anomaly, int day_of_year) {
    for (int i = 0; i <= kLeeSteps; ++i) {
      const CellClimate cell = reference_cell(static_cast<double>(i) / kLeeSteps);
      const RainLaw law = rain_law(cell, anomaly, day_of_year);
      const auto k = static_cast<std::size_t>(i);
      z_after_dry[k] = static_cast<float>(normal_point(law.wet_after_dry));
      z_after_wet[k] = static_cast<float>(normal_point(law.wet_after_wet));
      mean_wet_share[k] = static_cast<float>(law.mean_wet_day_mm / cell.annual_rain_mm);
    }
    z_after_dry.back() = z_after_dry[kLeeSteps], z_after_wet.back() = z_after_wet[kLeeSteps];
    mean_wet_share.back() = mean_wet_share[kLeeSteps];
    for (int wet = 0; wet < 2; ++wet) {
      const TemperatureLaw coast = temperature_law(reference_cell(0), anomaly, day_of_year, wet == 1);
      const TemperatureLaw lee = temperature_law(reference_cell(1), anomaly, day_of_year, wet == 1);
      warmth[static_cast<std::size_t>(wet)] = {static_cast<float>(coast.tmin_mean_c), static_cast<float>(lee.tmin_mean_c),
                                               static_cast<float>(coast.tmax_mean_c), static_cast<float>(lee.tmax_mean_c),
                                               static_cast<float>(coast.tmin_sd_c),   static_cast<float>(coast.tmax_sd_c)};
    }
  }
  static float between(const std::array<float, kLeeSteps + 2>& table, float lee) {
    const float position = lee * kLeeSteps;
    const auto below = static_cast<std::size_t>(position);
    return table[below] + (position - static_cast<float>(below)) * (table[below + 1] - table[below]);
  }
};

WideYear::WideYear(const WideCells& cells, const WideFields& fields, const std::vector<YearAnomaly>& years, std::size_t year, int first_day)
    : cells_(cells),
      fields_(fields),
      anomaly_(years[year]),
      first_day_(first_day),
      wet_(cells.size(), 0),
      line_(static_cast<std::size_t>(WideFields::fields * cells.nodes_.columns)) {
  const YearAnomaly& before = years[year > 0 ? year - 1 : 0];
  const int last = days_in_year(before.year), fields_end = year > 0 ? first_day : days_in_year(years[0].year);
  for (int day = 0; day < kRunIn; ++day) occur(DayLaw(before, last - kRunIn + day + 1), fields_end - kRunIn + day);
}

void WideYear::blend_row(int field_day, const WideCells::Row& row) {
  const auto columns = static_cast<std::size_t>(cells_.nodes_.columns);
  for (int f = 0; f < WideFields::fields; ++f) {
    const float* north = fields_.at(field_day, static_cast<WideFields::Field>(f)) + static_cast<std::size_t>(row.node_row) * columns;
    for (std::size_t c = 0; c < columns; ++c)
      line_[static_cast<std::size_t>(f) * columns + c] = north[c] + row.v * (north[columns + c] - north[c]);
  }
}

void WideYear::occur(const DayLaw& law, int field_day) {
  for (std::size_t r = 0; r < cells_.rows_.size(); ++r) {
    blend_row(field_day, cells_.rows_[r]);
    for (std::size_t i = cells_.row_start_[r]; i < cells_.row_start_[r + 1]; ++i) {
      const auto& cell = cells_.cells_[i];
      const float* west = line_.data() + cell.column;
      const float z = (west[0] + cell.u * (west[1] - west[0])) * cell.rain_scale;
      wet_[i] = z < DayLaw::between(wet_[i] ? law.z_after_wet : law.z_after_dry, cell.lee);
    }
  }
}

void WideYear::next(std::span<std::int16_t> rain_cmm, std::span<std::int16_t> tmin_cc, std::span<std::int16_t> tmax_cc) {
  static const FloatGamma gamma;
  const DayLaw law(anomaly_, day_ + 1);
  const int field_day = first_day_ + day_++;
  const auto columns = static_cast<std::size_t>(cells_.nodes_.columns);
  for (std::size_t r = 0; r < cells_.rows_.size(); ++r) {
    if (cells_.row_start_[r] == cells_.row_start_[r + 1]) continue;
    blend_row(field_day, cells_.rows_[r]);
    for (std::size_t i = cells_.row_start_[r]; i < cells_.row_start_[r + 1]; ++i) {
      const auto& cell = cells_.cells_[i];
      const float* west = line_.data() + cell.column;
      const auto field = [&](WideFields::Field f) {
        const float* at = west + static_cast<std::size_t>(f) * columns;
        return at[0] + cell.u * (at[1] - at[0]);
      };
      const std::uint32_t bits = local_bits(i, static_cast<std::uint64_t>(field_day));
      const bool wet =
          field(WideFields::occurrence) * cell.rain_scale < DayLaw::between(wet_[i] ? law.z_after_wet : law.z_after_dry, cell.lee);
      wet_[i] = wet;
      float rain = 0;
      if (wet) {
        const float mean = std::max(0.5F, DayLaw::between(law.mean_wet_share, cell.lee) * cell.annual_rain_mm);
        const auto least = static_cast<float>(kLeastRainMm);
        rain = least + (mean - least) * gamma(field(WideFields::amount) * cell.rain_scale) * (1 + kShowers * local_share(bits, 0));
      }
      const auto& warmth = law.warmth[wet];
      const float tmax = warmth.tmax_coast + cell.lee * (warmth.tmax_lee - warmth.tmax_coast) + cell.offset_c +
                         warmth.tmax_sd * field(WideFields::tmax_residual) * cell.warmth_scale + kLocalWarmthC * local_share(bits, 8);
      const float tmin = warmth.tmin_coast + cell.lee * (warmth.tmin_lee - warmth.tmin_coast) + cell.offset_c +
                         warmth.tmin_sd * field(WideFields::tmin_residual) * cell.warmth_scale + kLocalWarmthC * local_share(bits, 16);
      rain_cmm[i] = hundredths(std::min(rain, 300.0F));
      tmax_cc[i] = hundredths(tmax);
      tmin_cc[i] = hundredths(std::min(tmin, tmax - 0.5F));
    }
  }
}

}  // namespace rickyard::demo
