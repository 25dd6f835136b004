#include "planner/sourcing/parameters.h"

#include <array>

namespace rickyard {
namespace {
constexpr std::array kTable{
    ParameterSpec{"intake_closed_month", 10, "1", 1, 12, "practice", "wet-grain terms run to 31 October",
                  "month in which intake of the crop closes"},
    ParameterSpec{"intake_closed_day", 31, "1", 1, 31, "practice", "wet-grain terms run to 31 October",
                  "day of that month (cut to its last day)"},
    ParameterSpec{"barley_to_mash_days", 42, "d", 0, 200, "practice", "none", "from barley leaving the heap to mashing or malt use"},
    ParameterSpec{"dormancy_days", 56, "d", 0, 200, "memory", "none", "from harvest to the day the grain can be malted"},
    ParameterSpec{"silent_season_days", 21, "d", 0, 120, "seen", "trade magazine",
                  "days without distilling in a year row without its own figure"},
    ParameterSpec{"silent_season_month", 7, "1", 1, 12, "seen", "trade magazine",
                  "the silent days of a year row start on the first of this month"},
    ParameterSpec{"change_cover_days", 21, "d", 0, 200, "practice", "none", "safety cover at the change of crop"},
    ParameterSpec{"store_loss_pct_year", 0.8, "%/year", 0, 20, "memory", "none", "loss of stored grain where no store gives one"},
    ParameterSpec{"storage_cost_per_t_month", 1.0, "per t and month", 0, 100, "memory", "none",
                  "cost of keeping a tonne in store where no store gives one"},
    ParameterSpec{"interest_pct_year", 7, "%/year", 0, 50, "placeholder", "the user's own rate", "interest on the value of grain in store"},
    ParameterSpec{"n_claim_per_hundredth", 1, "per t", 0, 100, "practice", "none", "price taken off per 0.01 %N above the limit"},
    ParameterSpec{"screenings_free_pct", 4, "%", 0, 100, "practice", "none", "screenings above this are claimed"},
    ParameterSpec{"screenings_claim_per_pct", 0.75, "per t", 0, 100, "practice", "none",
                  "price taken off per 1 % of screenings above the free share"},
    ParameterSpec{"feed_base_per_t", 180, "per t", 1, 10000, "placeholder", "the user's own price",
                  "feed price where the prices table gives none"},
    ParameterSpec{"normal_spread_per_t", 20, "per t", -1000, 1000, "judgement", "spreads seen 2022-25",
                  "malting price less feed price in a normal year"},
    ParameterSpec{"reject_haul_per_load", 300, "per load", 0, 10000, "seen", "2005 figure, raise to today's",
                  "haulage of a load that is turned away or sold for feed"},
    ParameterSpec{"road_load_t", 28, "t", 1, 100, "practice", "none", "tonnes in a road load"},
    ParameterSpec{"max_age_months", 18, "months", 1, 120, "judgement", "none",
                  "oldest usable grain, counted from the month in which its season ends"},
    ParameterSpec{"harvest_spread_days", 21, "d", 1, 90, "judgement", "none",
                  "days over which a contract row's harvest reaches the store, centred on its mean date"},
    ParameterSpec{"backup_new_crop_month", 11, "1", 1, 12, "practice", "none",
                  "from this month of the crop year on, backups deliver the new crop"},
    ParameterSpec{"feed_cap_t_month", 1e9, "t", 0, 1e9, "judgement", "no limit", "surplus that can be sold for feed in one month"},
    ParameterSpec{"tolerance_pct", 5, "%", 0, 100, "seen", "UK standard terms",
                  "tolerance of a tonnage contract, in per cent of its tonnes"},
    ParameterSpec{"tolerance_t_per_grower", 15, "t", 0, 1000, "seen", "UK standard terms",
                  "tolerance of a tonnage contract, tonnes for each grower; the smaller rules"},
    ParameterSpec{"feed_drop_per_t", 30, "per t", 0, 1000, "judgement", "none", "fall of the feed price at which price forms are compared"},
    ParameterSpec{"feed_rise_per_t", 40, "per t", 0, 1000, "judgement", "none", "rise of the feed price at which price forms are compared"},
    ParameterSpec{"collar_width_per_t", 20, "per t", 0, 1000, "judgement", "none",
                  "a collar that names no floor or ceiling is compared with one so far to either side of today's price"},
};
}  // namespace

std::span<const ParameterSpec> sourcing_parameters() { return kTable; }

}  // namespace rickyard
