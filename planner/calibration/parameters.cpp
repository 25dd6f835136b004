#include "planner/calibration/parameters.h"

#include <array>

namespace rickyard {
namespace {

constexpr std::array kTable = {
    ParameterSpec{"history_weight", 1, "1", 0, 1, "judgement", "design choice",
                  "share of every move by past deliveries that is made; 0: deliveries are not used"},
    ParameterSpec{"calibration_prior_yield", 0.08, "1", 0.005, 0.5, "judgement", "contract yields and deliveries differ by 5 to 10 %",
                  "spread, as a fraction, within which the user's yields may be off in common"},
    ParameterSpec{"calibration_prior_n_pct", 0.06, "% N", 0.005, 0.5, "judgement", "two thirds of the spread from year to year",
                  "spread within which the user's nitrogen figures may be off in common"},
    ParameterSpec{"calibration_between_yield", 0.04, "1", 0.001, 0.5, "judgement", "half of what they may be off in common",
                  "spread, as a fraction, within which one region's yield may be off beyond what is common"},
    ParameterSpec{"calibration_between_n_pct", 0.03, "% N", 0.001, 0.5, "judgement", "half of what they may be off in common",
                  "spread within which one region's nitrogen may be off beyond what is common"},
    ParameterSpec{"calibration_prior_farm_sigma", 0.25, "1", 0.01, 2, "judgement", "0.10 to 0.18 around 0.13",
                  "spread of the logarithm within which the spread between farms may be off"},
    ParameterSpec{"calibration_prior_seasons", 5, "seasons", 0.5, 100, "judgement", "a variance from fewer seasons says little",
                  "degrees of freedom that the default variances count as"},
};

}  // namespace

std::span<const ParameterSpec> calibration_parameters() { return kTable; }

}  // namespace rickyard
