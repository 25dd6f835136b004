#include "planner/supply/parameters.h"

#include <array>

namespace rickyard {
namespace {
constexpr std::array kTable{
    ParameterSpec{"supply_draws_per_year", 200, "1", 1, 20000, "judgement", "design choice",
                  "residual draws per weather year for ranges of supply"},
    ParameterSpec{"programme_draws_per_year", 1, "1", 1, 200, "judgement", "design choice",
                  "draws per weather year the sourcing programme plans over; the first of the supply draws"},
    ParameterSpec{"yield_cv", 0.10, "1", 0, 0.5, "derived", "national series 7.7 %; region from memory",
                  "coefficient of variation of a region's yield from year to year"},
    ParameterSpec{"n_year_sigma_pct", 0.09, "%N", 0, 0.5, "derived", "survey years",
                  "year-to-year standard deviation of a region's mean N"},
    ParameterSpec{"yield_n_correlation", -0.5, "1", -0.99, 0.99, "judgement", "none", "correlation of yield with N from year to year"},
    ParameterSpec{"yield_common_share", 0.5, "1", 0, 1, "judgement", "pairs of national yields",
                  "share of yield variance common to all regions"},
    ParameterSpec{"n_common_share", 0.6, "1", 0, 1, "judgement", "none", "share of N variance common to all regions"},
    ParameterSpec{"residual_distance_km", 1600, "km", 1, 100000, "derived",
                  "least squares over 12 pairs of national yields 1990-2018, common share held at 0.5",
                  "distance over which what regions share falls to 1/e"},
    ParameterSpec{"residual_scale_yield", 1, "1", 0, 5, "judgement", "1 without a history to calibrate on",
                  "multiplies the residual spread of yield"},
    ParameterSpec{"residual_scale_n", 1, "1", 0, 5, "judgement", "1 without a history to calibrate on",
                  "multiplies the residual spread of N"},
    ParameterSpec{"residual_floor_yield", 0.03, "1", 0, 0.5, "judgement", "none", "least residual standard deviation of the yield factor"},
    ParameterSpec{"residual_floor_n_pct", 0.03, "%N", 0, 0.5, "judgement", "none",
                  "least residual standard deviation of a region's mean N"},
    ParameterSpec{"farm_n_sigma_floor_pct", 0.06, "%N", 0.001, 0.5, "judgement", "none",
                  "least standard deviation of N between farms on one land unit"},
    ParameterSpec{"weather_link_merchant", 0.5, "1", -1, 1, "derived", "neighbouring national yields 1990-2018",
                  "correlation of a merchant's cap with the home yield factor"},
    ParameterSpec{"weather_link_other_region", 0.4, "1", -1, 1, "derived", "neighbouring national yields 1990-2018",
                  "correlation of another region's cap with the home yield factor"},
    ParameterSpec{"weather_link_vessel", 0, "1", -1, 1, "derived", "other hemisphere, about -0.3 to 0.4",
                  "correlation of an overseas cap with the home yield factor"},
    ParameterSpec{"backup_cap_cv", 0.10, "1", 0, 1, "judgement", "as the yield of a region",
                  "coefficient of variation of a backup's cap from year to year"},
    ParameterSpec{"shortage_price_slope", 1.2, "per t and %", 0, 100, "judgement", "spreads seen 2022-25",
                  "price rise per per cent of shortage"},
    ParameterSpec{"shortage_price_cap", 60, "per t", 0, 10000, "judgement", "spreads seen 2022-25", "largest price rise in a shortage"},
    ParameterSpec{"demand_low_factor", 0.95, "1", 0, 2, "judgement", "none", "lowest demand over the plan"},
    ParameterSpec{"demand_high_factor", 1.05, "1", 0, 2, "judgement", "none", "highest demand over the plan"},
    ParameterSpec{"spirit_lpa_per_t_malt", 410, "LPA/t", 300, 460, "seen", "maltster's technical note",
                  "litres of pure alcohol per tonne of malt at N 1.50"},
    ParameterSpec{"spirit_loss_lpa_per_n_pct", 45, "LPA/t per %N", 0, 100, "memory", "classic extract-nitrogen equation",
                  "spirit yield lost per 1 %N above 1.50"},
    ParameterSpec{"dressing_frac", 0.96, "1", 0.5, 1, "practice", "none",
                  "share of grain left after dressing; once given it holds for every heap"},
    ParameterSpec{"malting_dry_loss_pct", 10.4, "%", 0, 30, "derived", "0.83 t malt per t dressed barley", "dry matter lost in malting"},
    ParameterSpec{"malt_moisture_pct", 5, "%", 1, 10, "seen", "maltsters' association", "moisture of malt"},
    ParameterSpec{"malt_handling_loss_pct", 0.5, "%", 0, 10, "memory", "none", "malt lost between maltings and mash, spirit lines only"},
    ParameterSpec{"default_harvest_month", 8, "1", 1, 12, "judgement", "none",
                  "month of harvest where neither model nor table gives a date"},
    ParameterSpec{"default_harvest_day", 25, "1", 1, 28, "judgement", "none", "day of that month"},
    ParameterSpec{"independence_draws", 10000, "1", 100, 1000000, "judgement", "design choice",
                  "draws of the total with regions wrongly independent"},
    ParameterSpec{"bootstrap_replicates", 1000, "1", 10, 100000, "judgement", "design choice",
                  "resamples of the weather years for sampling intervals"},
    ParameterSpec{"bootstrap_level", 0.90, "1", 0.5, 0.999, "judgement", "design choice", "share of resamples inside a sampling interval"},
};
}  // namespace

std::span<const ParameterSpec> supply_parameters() { return kTable; }

}  // namespace rickyard
