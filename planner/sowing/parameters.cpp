#include "planner/sowing/parameters.h"

#include <array>

namespace rickyard {
namespace {

constexpr std::array kTable = {
    ParameterSpec{"sowing_step_days", 7, "d", 1, 28, "judgement", "a week is what a grower decides by",
                  "sowing curves: days between the dates tried"},
    ParameterSpec{"sowing_after_latest_days", 14, "d", 0, 60, "judgement", "shows what lies past the last date of the contract",
                  "sowing curves: days after sow_latest up to which dates are tried"},
    ParameterSpec{"sensible_share", 0.9, "1", 0.5, 1, "judgement", "a tenth is what a grower would notice",
                  "the last sensible sowing date still gives this share of the best date's qualifying t/ha"},
    ParameterSpec{"n_rate_kg_per_t", 20, "kg N/t", 5, 100, "seen",
                  "AHDB RB209 Section 4 (June 2023), Table 4.23: 10 kg N/ha per 0.5 t/ha about 7 t/ha",
                  "nitrogen rate what-if: kg N/ha that go with one more t/ha"},
    ParameterSpec{"n_rate_yield_min_t_ha", 4, "t/ha", 0, 15, "seen", "AHDB RB209 Section 4, Table 4.23: 4 to 9 t/ha",
                  "nitrogen rate what-if: no yield is carried below this"},
    ParameterSpec{"n_rate_yield_max_t_ha", 9, "t/ha", 0, 20, "seen", "AHDB RB209 Section 4, Table 4.23: 4 to 9 t/ha",
                  "nitrogen rate what-if: no yield is carried above this"},
    ParameterSpec{"n_rate_kg_per_tenth_low", 15, "kg N/ha", 5, 200, "seen", "8 to 12 in a dry year, 50 in modern trials; 15 to 50 shown",
                  "nitrogen rate what-if: the same as n_rate_kg_per_tenth where grain nitrogen answers strongly"},
    ParameterSpec{"n_rate_kg_per_tenth_high", 50, "kg N/ha", 5, 200, "seen", "125 to 175 kg raised grain nitrogen by 0.1 %",
                  "nitrogen rate what-if: the same where it answers weakly"},
};

}  // namespace

std::span<const ParameterSpec> sowing_parameters() { return kTable; }

}  // namespace rickyard
