#include "planner/weather/parameters.h"

#include <array>

namespace rickyard {
namespace {

constexpr std::array kTable = {
    ParameterSpec{"wind_default_m_s", 2.0, "m/s", 0.1, 10, "seen", "FAO-56, missing wind", "wind at 2 m where the archive holds none"},
    ParameterSpec{"radiation_krs", 0.16, "C^-0.5", 0.1, 0.25, "seen", "FAO-56 eq. 50: 0.16 inland, 0.19 on coasts",
                  "radiation from the daily temperature range"},
    ParameterSpec{"wet_day_mean_mm", 5.5, "mm", 1, 30, "judgement",
                  "mean rain of a wet day in a maritime climate; fit to a station where there is one",
                  "monthly rain to daily: expected rain of a wet day, which sets the share of wet days"},
    ParameterSpec{"wet_day_persistence", 0.3, "1", 0, 0.9, "memory", "first-order chains fitted to stations give about 0.2 to 0.4",
                  "monthly rain to daily: chance of rain after a wet day less the chance after a dry one"},
    ParameterSpec{"wet_day_gamma_shape", 0.75, "1", 0.2, 5, "memory", "daily amounts fitted by gamma laws give about 0.6 to 0.9",
                  "monthly rain to daily: shape of the law of amounts"},
};

}  // namespace

std::span<const ParameterSpec> weather_parameters() { return kTable; }

}  // namespace rickyard
