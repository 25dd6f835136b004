#pragma once
// Learning from past deliveries: the user's yields, nitrogen, spread between farms and residual sizes, moved by what was delivered.
#include <optional>
#include <string>
#include <vector>

#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"

namespace rickyard {

/// One figure: what the user said (or the default), what it became, and how much deliveries moved it.
struct CalibrationEntry {
  std::string name;  // "yield, CONTRACT", "N, CONTRACT", "common bias of yield", "trend of yield", or the name of a parameter
  std::string unit;
  double user = 0, calibrated = 0;
  int seasons = 0;            // crop years of deliveries behind it
  double standard_error = 0;  // of the calibrated value
  double moved_by = 0;        // 0..1: share of the way from the user's value to the deliveries'
  std::string note;
};

struct Calibration {
  std::vector<CalibrationEntry> entries;  // empty where no delivery was used
  std::vector<std::string> lines;         // what was used and what was left out, for the plan's warnings
  bool used = false;                      // some figure of `season` differs from the user's
  /// The season with calibrated yield_t_ha (whole field) and typical_n_pct (all grain) in its contract rows, and calibrated
  /// parameters. Where nothing was used it is the season as given.
  Season season;
};

/// forecast: of the season without a patch, on anchors made from the season as given; a hindcast makes them without the year it
/// scores, and gives that year here too: then no figure of it enters (METHODS.md, "Calibration"). Anchors must be made anew from
/// the result's season. InputError as in contract_terms.h.
Calibration calibrate(const Season& season, const HarvestForecast& forecast, std::optional<int> without_year = std::nullopt);

}  // namespace rickyard
