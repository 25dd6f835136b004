#pragma once
// Tables of region x season with a known truth, drawn with a fixed engine.
#include <cmath>
#include <random>
#include <vector>

#include "planner/calibration/panel_bias.h"

namespace rickyard::testing {

struct PanelTruth {
  int regions = 10, first_year = 2019, seasons = 8;
  double common = 0, between_sd = 0.04;
  std::vector<double> fixed_bias;  // in place of drawn biases
  double year_sd = 0.05, rest_sd = 0.05, slope = 0;
};

struct MadePanel {
  std::vector<double> bias;  // [region], of the last season
  std::vector<Deviation> deviations;
};

inline MadePanel make_panel(const PanelTruth& truth, unsigned seed) {
  std::mt19937_64 engine(seed);
  // Box & Muller by hand: std::normal_distribution differs between libraries.
  const auto uniform = [&] { return (static_cast<double>(engine() >> 11) + 0.5) / 9007199254740992.0; };
  const auto normal = [&] {
    const double radius = std::sqrt(-2 * std::log(uniform()));
    return radius * std::cos(2 * 3.141592653589793 * uniform());
  };
  MadePanel made;
  for (int r = 0; r < truth.regions; ++r)
    made.bias.push_back(truth.fixed_bias.empty() ? truth.common + truth.between_sd * normal()
                                                 : truth.fixed_bias[static_cast<std::size_t>(r)]);
  const int last = truth.first_year + truth.seasons - 1;
  for (int year = truth.first_year; year <= last; ++year) {
    const double shared = truth.year_sd * normal();
    for (int r = 0; r < truth.regions; ++r)
      made.deviations.push_back(
          {r, year, made.bias[static_cast<std::size_t>(r)] + shared + truth.rest_sd * normal() + truth.slope * (year - last)});
  }
  return made;
}

inline PanelSettings settings_for(const PanelTruth& truth) {
  PanelSettings s;
  s.regions = truth.regions;
  s.default_year_var = truth.year_sd * truth.year_sd;
  s.default_rest_var = truth.rest_sd * truth.rest_sd;
  return s;
}

}  // namespace rickyard::testing
