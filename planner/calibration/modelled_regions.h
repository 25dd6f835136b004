#pragma once
// What the forecast says each contracted region would have grown in each weather year, on the user's own figures.
#include <optional>
#include <string>
#include <vector>

#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"

namespace rickyard {

/// One contracted region. Rows of a region count by planted x harvested hectares; nitrogen and `passed_other` by tonnes.
struct ModelledRegion {
  std::string region;
  std::vector<int> contracts;  // rows of Season::contracts
  double harvested_share = 1;  // harvested hectares / planted hectares of its rows
  double yield_factor = 1;     // mean variety factor of its rows
  double n_offset_pct = 0;     // mean variety offset of its rows
  double passed_other = 1;     // typical share of grain passing every point but nitrogen

  struct Year {
    double yield_t_ha = 0, n_pct = 0, passed_other = 1;
  };
  std::vector<Year> years;        // [position in ModelledRegions::years]
  Year mean;                      // over the years
  double yield_relative_var = 0;  // of yield / mean yield, divisor n - 1; 0 with formulas
  double n_var = 0;               // of mean N, divisor n - 1; 0 with formulas
};

struct ModelledRegions {
  std::vector<int> years;               // harvest years modelled, `without_year` left out; empty with formulas
  std::vector<ModelledRegion> regions;  // in the order of their first contract row
  bool from_weather = true;
  /// Index of a region; -1 where no contract row grows there.
  int find(const std::string& region) const;
  /// The region in that harvest year: the year itself, or the mean where the archive lacks it.
  const ModelledRegion::Year& at(int region, int crop_year) const;
  bool has_year(int crop_year) const;
  double mean_yield_relative_var() const;  // over regions
  double mean_n_var() const;
};

/// forecast: without a patch, on the season's own anchors.
ModelledRegions modelled_regions(const Season& season, const HarvestForecast& forecast, std::optional<int> without_year);

}  // namespace rickyard
