#include "planner/hindcast/parameters.h"

#include <array>

namespace rickyard {
namespace {

constexpr std::array kTable = {
    ParameterSpec{"hindcast_units_per_region", 96, "1", 0, 1000000, "judgement",
                  "against all land in three seasons of the demo archipelago on four dates: totals within 0.2 % (P10 0.4 %), regions "
                  "within 0.5 % (P10 0.9 %), root mean square",
                  "hindcast: land units grown for each region, drawn evenly over its hectares; 0: all of them"},
    ParameterSpec{"hindcast_draws_per_year", 20, "1", 2, 20000, "judgement", "the years already spread the forecast",
                  "hindcast: residual draws for each weather year"},
    ParameterSpec{"farm_yield_cv", 0.18, "1", 0, 0.6, "memory", "15 to 25 % between farms and years",
                  "hindcast of a grower: coefficient of variation of one farm's yield"},
    ParameterSpec{"farm_yield_level_share", 0.5, "1", 0.05, 0.95, "judgement", "none",
                  "hindcast of a grower: share of what a farm adds to its region's spread that comes back every year"},
};

}  // namespace

std::span<const ParameterSpec> hindcast_parameters() { return kTable; }

}  // namespace rickyard
