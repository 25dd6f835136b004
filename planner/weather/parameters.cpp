#include "planner/weather/parameters.h"

#include <array>

namespace rickyard {
namespace {

constexpr std::array kTable = {
    ParameterSpec{"wind_default_m_s", 2.0, "m/s", 0.1, 10, "seen", "FAO-56, missing wind", "wind at 2 m where the archive holds none"},
    ParameterSpec{"radiation_krs", 0.16, "C^-0.5", 0.1, 0.25, "seen", "FAO-56 eq. 50: 0.16 inland, 0.19 on coasts",
                  "radiation from the daily temperature range"},
    ParameterSpec{"monthly_draws", 4, "1", 1, 50, "judgement", "design choice",
                  "monthly rain to daily: how many times the daily rain of the archive is drawn"},
    ParameterSpec{"wet_day_mean_mm", 5.5, "mm", 1, 30, "judgement",
                  "mean rain of a wet day in a maritime climate; fit to a station where there is one",
                  "monthly rain to daily, without rasters.wet_days: mean rain of the archive's wet days"},
    ParameterSpec{"wet_day_rain_exponent", 0.45, "1", 0, 1, "memory",
                  "New, Hulme & Jones 2000, wet days of gridded archives; 0.448 over the 48 months of Seattle 2012-2015",
                  "monthly rain to daily, without rasters.wet_days: wet days grow as the month's rain to this power"},
    ParameterSpec{"wet_day_persistence", 0.25, "1", 0, 0.9, "seen",
                  "Geng, Penning de Vries & Supit 1986: 0.75 f after a dry day, 0.25 + 0.75 f after a wet one, in several transcriptions",
                  "monthly rain to daily: chance of rain after a wet day less the chance after a dry one"},
    ParameterSpec{"wet_day_gamma_shape", 0, "1", 0, 5, "seen",
                  "0: the scale -2.16 + 1.83 x mean wet day of Geng, Penning de Vries & Supit 1986, in several transcriptions",
                  "monthly rain to daily: shape of the law of amounts, at least 0.2; 0: from the month's mean wet day"},
    ParameterSpec{"wet_day_common_share", 0.7, "1", 0, 1, "memory",
                  "Wilks 1998: normals behind wet days correlate by 0.6 to 0.95 between stations up to 300 km apart",
                  "monthly rain to daily: share of the day's weather that all cells have in common"},
    ParameterSpec{"wet_day_least_mm", 0.1, "mm", 0.01, 2, "practice", "the gauge's step; what rasters of wet days count",
                  "monthly rain to daily: least rain of a wet day"},
};

}  // namespace

std::span<const ParameterSpec> weather_parameters() { return kTable; }

}  // namespace rickyard
