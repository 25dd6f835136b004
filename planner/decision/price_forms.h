#pragma once
// What each contract would pay by each price form when feed stands low, as planned and high. METHODS.md, "Decision".
#include <array>
#include <vector>

#include "planner/season/season.h"

namespace rickyard {

inline constexpr int kFeedLevels = 3;

struct PriceForms {
  using ByLevel = std::array<double, kFeedLevels>;  // [feed level], per t
  struct Row {
    int contract = 0;
    double premium_per_t = 0, floor_per_t = 0, ceiling_per_t = 0;  // of the forms beside the row's own
    ByLevel fixed{}, feed_plus{}, collar{};
  };
  ByLevel feed_per_t{};   // mean feed of the plan less feed_drop_per_t; the mean; plus feed_rise_per_t
  std::vector<Row> rows;  // [contract row]
};

/// The row's own form has the row's own terms. The other two are set so that all three pay the same at the mean feed price; a collar
/// without floor and ceiling of its own lies collar_width_per_t to either side of that price.
PriceForms compare_price_forms(const Season& season);

}  // namespace rickyard
