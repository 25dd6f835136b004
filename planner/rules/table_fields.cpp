// The columns of demand, stock, stores, maltings, prices, outlets, varieties and history.
#include <array>

#include "planner/rules/field_lists.h"

namespace rickyard::field_lists {
namespace {

constexpr std::string_view kD = "demand";
constexpr std::array kDemand = {
    text(kD, "line", "required", "given", kOwn, "name of the product line"),
    month(kD, "month", "the year, split over the plan's months by days less the silent days", "practice", kHabit,
          "month of use; empty: the amount is for a year"),
    number(kD, "spirit_lpa", "LPA", 0, 1e10, "none", "given", kOwn,
           "litres of pure alcohol to be distilled; give exactly one of the three amounts"),
    number(kD, "malt_t", "t malt", 0, 1e8, "none", "given", kOwn, "tonnes of malt to be used"),
    number(kD, "barley_t", "t", 0, 1e8, "none", "given", kOwn, "tonnes of barley to be used"),
    number(kD, "low_factor", "1", 0.1, 1, "0.95", "judgement", kRun, "demand that is not reached once in ten, over the amount"),
    number(kD, "high_factor", "1", 1, 3, "1.05", "judgement", kRun, "demand that is passed once in ten, over the amount"),
    text(kD, "origin_rule", "none", "given", kOwn, "claim that every tonne of the line must carry; empty: any grain"),
    of_kind(FieldKind::yes_no, kD, "peated", "yes | no", "no", "judgement", kRun, "peated malt; kept apart in the lines, no other effect"),
    number(kD, "silent_days", "days", 0, 366, "0 for a month; parameter silent_season_days for a year", "seen",
           "trade magazine: 3 to 5 weeks", "days without distilling"),
    number(kD, "n_ceiling_pct", "% N of dry matter", 0.8, 3, "none", "given", kOwn, "highest mean nitrogen of the line's blend in a month"),
    number(kD, "priority", "1", 1, 99, "1", "judgement", kRun, "1 is filled first among lines of equal price"),
};

constexpr std::string_view kK = "stock";
constexpr std::array kStock = {
    text(kK, "lot", "stock-ROW", "derived", kSeason, "id of the lot, unique"),
    text(kK, "store", "the first store", "derived", kSeason, "store that holds it"),
    text(kK, "origin", "required", "given", kOwn, "name of the origin in the blend"),
    whole(kK, "crop_year", "year", 1990, 2200, "required", "given", kOwn, "harvest it comes from"),
    number(kK, "tonnes", "t", 0, 1e7, "required", "given", kOwn, "tonnes in store on as_of"),
    date(kK, "available_from", "as_of", "derived", kSeason, "first day on which it may be used"),
    number(kK, "n_pct", "% N of dry matter", 0.8, 3, "1.50", "practice", "the nitrogen a blend aims at", "mean grain nitrogen"),
    number(kK, "screenings_pct", "%", 0, 60, "4", "practice", "claims begin above 4 %", "grain through a 2.25 mm sieve"),
    number(kK, "moisture_pct", "%", 5, 30, "14.5", "practice", "reference moisture", "moisture in store"),
    text_list(kK, "claims", "claims the grain carries"),
    text(kK, "variety", "none", "given", kOwn, "variety"),
};

constexpr std::string_view kS = "stores";
constexpr std::array kStores = {
    text(kS, "store", "required", "given", kOwn, "name of the store, unique"),
    number(kS, "capacity_t", "t", 0, 1e8, "required", "given", kOwn, "most it can hold"),
    number(kS, "loss_pct_year", "%/year", 0, 20, "parameter store_loss_pct_year", "memory", "0.5 to 1.0", "dry matter lost in store"),
    number(kS, "cost_per_t_month", "currency/t/month", 0, 1e5, "parameter storage_cost_per_t_month", "memory", kHabit, "cost of storage"),
    number(kS, "bins", "heaps", 1, 10000, "no limit", "judgement", kRun, "heaps it can keep apart"),
    number(kS, "dry_t_day", "t/day", 0, 1e6, "no limit", "judgement", kRun, "drying capacity"),
    number(kS, "intake_t_day", "t/day", 0, 1e6, "no limit", "judgement", kRun, "intake capacity"),
};

constexpr std::string_view kM = "maltings";
constexpr std::array kMaltings = {
    text(kM, "plant", "required", "given", kOwn, "name of the malting plant"),
    month(kM, "month", "every month", "derived", kSeason, "month the row is for"),
    number(kM, "barley_t", "t/month", 0, 1e7, "required", "given", kOwn, "barley it can steep in a month"),
    number(kM, "shut_days", "days", 0, 31, "0", "judgement", kRun, "days shut in the month"),
};

constexpr std::string_view kP = "prices";
constexpr std::array kPrices = {
    month(kP, "month", "required", "given", kOwn, "month"),
    number(kP, "feed_base", "currency/t", 0, 1e6, "the mean of the months given; parameter feed_base_per_t without any", "placeholder",
           "from memory", "price of feed barley"),
    number(kP, "index", "currency/t", 0, 1e6, "none", "given", kOwn, "a malting barley index; reported only"),
    number(kP, "spread", "currency/t", -1e6, 1e6, "parameter normal_spread_per_t", "judgement", "from spreads of 15 to 71 in 2022-25",
           "malting price minus feed price in a normal year"),
    text(kP, "currency", "none", "given", kOwn, "a foreign currency; with currency_rate"),
    number(kP, "currency_rate", "season currency per unit", 1e-6, 1e6, "none", "given", kOwn, "rate of that currency in the month"),
};

constexpr std::string_view kO = "outlets";
constexpr std::array kOutlets = {
    text(kO, "outlet", "required", "given", kOwn, "name of the outlet for surplus and near misses, unique"),
    number(kO, "n_min_pct", "% N of dry matter", 0.8, 4, "no limit", "judgement", kRun, "lowest nitrogen it takes"),
    number(kO, "n_max_pct", "% N of dry matter", 0.8, 4, "no limit", "judgement", kRun, "highest nitrogen it takes"),
    number(kO, "price_per_t", "currency/t", 0, 1e6, "required", "given", kOwn, "price it pays"),
    number(kO, "cap_t_month", "t/month", 0, 1e7, "no limit", "judgement", kRun, "most it takes in a month"),
};

constexpr std::string_view kV = "varieties";
constexpr std::array kVarieties = {
    text(kV, "variety", "required", "given", kOwn, "name of the variety, unique"),
    whole(kV, "approved_from", "crop year", 1990, 2200, "no limit", "judgement", kRun, "first crop year of its approval"),
    whole(kV, "approved_to", "crop year", 1990, 2200, "no limit", "judgement", kRun, "last crop year of its approval"),
    number(kV, "yield_factor", "1", 0.3, 2, "1", "judgement", kRun,
           "yield over the reference type; brings history of mixed varieties to one level, never multiplies a row's own yield"),
    number(kV, "n_offset_pct", "% N of dry matter", -0.5, 0.5, "0", "judgement", kRun,
           "nitrogen over the reference type; added where a contract gives no typical_n_pct of its own"),
    number(kV, "thermal_factor", "1", 0.7, 1.3, "1", "judgement", kRun, "multiplies the thermal time of every stage"),
    number(kV, "share_cap", "fraction", 0, 1, "no limit", "judgement", kRun, "largest share of the contracted hectares"),
};

constexpr std::string_view kH = "history";
constexpr std::array kHistory = {
    text(kH, "region", "required", "given", kOwn, "id of the region"),
    text(kH, "grower", "the whole region", "derived", kSeason, "a grower, or empty for the region"),
    whole(kH, "crop_year", "year", 1900, 2200, "required", "given", kOwn, "harvest year, before the season's"),
    text(kH, "variety", "as the contract rows of the region", "derived", kSeason,
         "variety, as in the varieties table; brings the yield and nitrogen of the row to the level of the contract rows"),
    number(kH, "planted_ha", "ha", 0, 1e7, "none", "given", kOwn, "hectares planted"),
    number(kH, "delivered_t", "t", 0, 1e8, "none", "given", kOwn, "tonnes delivered, accepted or not, at moisture_pct"),
    number(kH, "qualifying_t", "t", 0, 1e8, "none", "given", kOwn, "tonnes of it that qualified, at moisture_pct"),
    number(kH, "n_pct", "% N of dry matter", 0.8, 3, "none", "given", kOwn, "mean grain nitrogen"),
    words(kH, "n_basis", "all_grain | accepted", "all_grain", "judgement", kRun, "what n_pct was measured on"),
    number(kH, "limit_n_pct", "% N of dry matter", 0.8, 3, "none", "given", kOwn, "acceptance limit in force that season"),
    number(kH, "screenings_pct", "%", 0, 60, "none", "given", kOwn, "grain through a 2.25 mm sieve; kept with the record, not used"),
    number(kH, "moisture_pct", "%", 5, 30, "14.5", "practice", "reference moisture", "moisture of the tonnes"),
    date(kH, "sown", "none", "given", kOwn, "mean sowing date; a hindcast sows on it once it is past"),
};

}  // namespace

std::span<const FieldSpec> demand() { return kDemand; }
std::span<const FieldSpec> stock() { return kStock; }
std::span<const FieldSpec> stores() { return kStores; }
std::span<const FieldSpec> maltings() { return kMaltings; }
std::span<const FieldSpec> prices() { return kPrices; }
std::span<const FieldSpec> outlets() { return kOutlets; }
std::span<const FieldSpec> varieties() { return kVarieties; }
std::span<const FieldSpec> history() { return kHistory; }

}  // namespace rickyard::field_lists
