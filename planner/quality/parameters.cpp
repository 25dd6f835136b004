#include "planner/quality/parameters.h"

#include <array>

namespace rickyard {
namespace {

constexpr std::array kTable = {
    // What the tables leave open
    ParameterSpec{"default_screenings_pct", 4, "%", 0.05, 60, "practice", "usual contract figures of 4 to 6 %",
                  "screenings of an average year where a contract gives none"},
    ParameterSpec{"default_other_failure_pct", 5, "%", 0, 90, "derived", "rejections of 2.7 to 40 % a year, 5 % in ordinary ones",
                  "grain failing on any point but nitrogen in an average year where a contract gives none: screenings, germination, husk"},
    ParameterSpec{"headland_loss_t_ha", 2.08, "t/ha", 0, 6, "seen", "40 fields measured",
                  "yield lost on headlands, for yields given in-field"},
    // Nitrogen
    ParameterSpec{"n_sigma_farm_pct", 0.13, "% N", 0.01, 0.5, "derived", "a range of 1.3 to 1.8 in one harvest",
                  "spread of nitrogen between farms in one region and year"},
    ParameterSpec{"dilution_k", 0.5, "1", 0, 1, "derived", "0.83, 0.75 and 0 in three droughts",
                  "0: grain nitrogen concentrates fully as water cuts yield; 1: not at all"},
    ParameterSpec{"n_rate_reference_kg_ha", 110, "kg N/ha", 0, 400, "judgement", "a usual rate for low-nitrogen spring crops",
                  "nitrogen rate behind typical_n_pct where a contract gives none"},
    ParameterSpec{"n_rate_kg_per_tenth", 30, "kg N/ha", 5, 200, "seen", "handbook rule; 15 to 50 in trials",
                  "nitrogen rate that raises grain nitrogen by 0.1 %"},
    ParameterSpec{"n_rise_per_week_late_pct", 0.03, "% N/week", 0, 0.2, "judgement", "direction seen in 8 of 9 trials, 0.02 to 0.07",
                  "grain nitrogen per week of sowing after sowing_flat_days"},
    ParameterSpec{
        "sowing_flat_days", 211, "d", 0, 365, "seen", "advisers: yield falls after early to mid-April; 200 in the south",
        "days after the season's first day until which sowing later costs nothing: 31 March from 1 September (30 March in leap years)"},
    ParameterSpec{"n_leaching_pct_per_100mm", -0.02, "% N/100 mm", -0.2, 0, "judgement", "0 to -0.05",
                  "grain nitrogen per 100 mm of winter drainage above the archive mean"},
    // Screenings and other failures
    ParameterSpec{"screenings_sigma_ln", 0.35, "1", 0.05, 1.5, "judgement", "a factor of 2 either way holds nearly all farms",
                  "spread of log-screenings between farms in one region and year"},
    ParameterSpec{"n_screenings_correlation", 0.3, "1", -0.95, 0.95, "judgement", "thin grain holds more nitrogen",
                  "correlation of nitrogen with log-screenings between farms in one region and year"},
    ParameterSpec{"screenings_deficit_from_mm", 60, "mm", 0, 300, "judgement", "the driver is the deficit before ripeness",
                  "deficit in the six weeks before ripeness from which grain turns thin"},
    ParameterSpec{"screenings_ln_per_mm", 0.013, "1/mm", 0, 0.1, "judgement", "the driver is the deficit before ripeness",
                  "rise of log-screenings per mm past that deficit"},
    ParameterSpec{"screenings_ln_per_heat_degree_day", 0.05, "1/(C d)", 0, 0.5, "judgement", "heat shrivels grain",
                  "rise of log-screenings per degree-day of heat in grain fill"},
    ParameterSpec{"germination_failure_pct_rainy_week", 7.5, "points/week", 0, 50, "judgement", "5 to 10",
                  "grain failing on germination, skinning and sprouting per seven wet days between ripeness and harvest"},
    ParameterSpec{"germination_failure_max_pct", 60, "%", 0, 100, "judgement", "about 40 % rejected in the worst harvests",
                  "most grain that fails so"},
    ParameterSpec{"combine_days_needed", 10, "d", 0, 60, "judgement",
                  "200 h a season for a machine at 6 h a day, a third of it on this crop",
                  "combine days that the crop of a region needs after ripeness"},
    ParameterSpec{"late_harvest_failure_pct", 20, "points", 0, 100, "judgement",
                  "chosen so that the model runs; replace by your own records",
                  "grain failing on germination, skinning and sprouting if no combine day came in time, in proportion below that"},
    // model = formulas
    ParameterSpec{"formula_years", 30, "years", 1, 1000, "judgement", "as many as a usual archive",
                  "years drawn where no rasters are given"},
    ParameterSpec{"sowing_loss_pct_day", 0.4, "%/d", 0, 2, "derived", "0.2 to 1.4 in trials",
                  "model = formulas: yield lost per day of sowing after sowing_flat_days, first 21 days"},
    ParameterSpec{"sowing_loss_later_pct_day", 0.9, "%/d", 0, 3, "derived", "0.2 to 1.4 in trials",
                  "model = formulas: the same after 21 days"},
    ParameterSpec{"sowing_loss_multiplier", 1, "1", 0, 5, "judgement", "0.4 in a cool wet June, 1.8 in a dry one",
                  "model = formulas: multiplies the sowing loss"},
    ParameterSpec{"formula_harvest_days", 358, "d", 0, 420, "practice", "25 August from 1 September",
                  "model = formulas: mean harvest, days after the season's first day, where a contract gives no usual harvest"},
};

}  // namespace

std::span<const ParameterSpec> quality_parameters() { return kTable; }

}  // namespace rickyard
