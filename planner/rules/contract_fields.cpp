// The columns of contracts and backups.
#include <array>

#include "planner/rules/field_lists.h"

namespace rickyard::field_lists {
namespace {

constexpr FieldSpec share_of_month(std::string_view name, std::string_view month) {
  return {"contracts", name, FieldKind::number, "fraction", 0, 1, "none", "given", kOwn, month};
}

constexpr std::string_view kC = "contracts";
constexpr std::array kContracts = {
    text(kC, "region", "required", "given", kOwn, "id of the region, as in the region file"),
    text(kC, "origin", "the region", "derived", kSeason, "name of the origin in the blend"),
    text(kC, "contract", "region-form", "derived", kSeason, "id of the contract, unique; a number is added where the default would repeat"),
    words(kC, "form", "area | area_capped | tonnage", "required", "given", kOwn,
          "area: all qualifying grain of the hectares; area_capped: up to cap_t_ha; tonnage: tonnes due whatever the crop does"),
    number(kC, "growers", "growers", 1, 10000, "1", "judgement", kRun, "number of growers behind the row"),
    number(kC, "planted_ha", "ha", 0.01, 1e6, "required (tonnage: contracted_t / yield_t_ha)", "derived", kSeason, "hectares planted"),
    number(kC, "min_ha", "ha", 0, 1e6, "planted_ha", "derived", kSeason, "least hectares that may be signed; equal to max_ha: fixed"),
    number(kC, "max_ha", "ha", 0, 1e6, "planted_ha", "derived", kSeason, "most hectares that may be signed"),
    number(kC, "harvested_share", "fraction", 0.01, 1, "0.97", "practice", "0.90 in a normal year and 0.66 in drought were seen on prairies",
           "harvested hectares / planted hectares"),
    number(kC, "contracted_t", "t", 0.01, 1e7, "none", "given", kOwn, "tonnes due; required for tonnage, not used by area forms"),
    number(kC, "cap_t_ha", "t/ha", 0.1, 20, "none", "given", kOwn, "tonnes per hectare that must be taken; required for area_capped"),
    number(kC, "tolerance_t", "t", 0, 1e6, "the smaller of tolerance_pct of contracted_t and tolerance_t_per_grower x growers", "seen", "standard grain contract terms",
           "tonnes by which a tonnage delivery may miss without consequence"),
    number(kC, "made_good", "fraction", 0, 1, "0.5", "judgement", kRun, "share of a tonnage shortfall that the seller replaces"),
    number(kC, "settled_share", "fraction", 0, 1, "0.5", "judgement", kRun, "share of (spot - contract price) paid on the shortfall left"),
    text(kC, "variety", "none", "given", kOwn, "variety, as in the varieties table; may stay empty"),
    number(kC, "yield_t_ha", "t/ha", 0.5, 14, "required", "given", kOwn, "yield of an average year at 14.5 % moisture, on harvested hectares"),
    words(kC, "yield_basis", "whole_field | in_field", "whole_field", "practice", "weighbridge averages hold the headlands already",
          "in_field: headlands are taken off by the model; whole_field: they are in the figure"),
    number(kC, "headland_share", "fraction", 0, 0.5, "0.12", "practice", "8 to 20 % of the area", "share of the area in headlands; with in_field only"),
    number(kC, "typical_n_pct", "% N of dry matter", 0.8, 3, "1.48", "seen", "1.45 in a survey of 2014 and trade quotes",
           "grain nitrogen of an average year"),
    words(kC, "n_basis", "all_grain | accepted", "all_grain", "judgement", kRun,
          "what typical_n_pct was measured on: all harvested grain, or only loads accepted under n_basis_limit_pct"),
    number(kC, "n_basis_limit_pct", "% N of dry matter", 0.8, 3, "none", "given", kOwn, "acceptance limit behind typical_n_pct; required with accepted"),
    number(kC, "typical_screenings_pct", "%", 0.05, 60, "parameter default_screenings_pct", "practice", kHabit, "grain through a 2.25 mm sieve in an average year"),
    number(kC, "typical_other_failure_pct", "%", 0, 90, "parameter default_other_failure_pct", "derived", "rejections of 2.7 to 40 % a year, 5 % in ordinary ones",
           "grain failing on any other point in an average year"),
    number(kC, "n_rate_kg_ha", "kg N/ha", 0, 400, "parameter n_rate_reference_kg_ha (no effect)", "derived", kSeason, "nitrogen applied; the forecast moves with its distance from the reference rate"),
    date(kC, "sow_earliest", "parameter default_sow_before_days before sow_planned", "practice", kHabit, "first date on which the row may be sown"),
    date(kC, "sow_planned", "parameter sowing_flat_days after season_start: 31 March", "seen", "advisers: yield is flat until then", "date from which the first workable day counts"),
    date(kC, "sow_latest", "parameter sow_wait_days after sow_planned", "practice", "planted-area declarations close on 30 April", "last date worth considering"),
    date(kC, "usual_harvest", "none", "given", kOwn, "usual harvest date; empty: the crop model's own"),
    date(kC, "sign_by", "as_of", "judgement", "a row without a date counts as signed", "last date to sign; on or after as_of the hectares are still a choice"),
    words(kC, "price_form", "fixed | feed_plus | collar", "fixed", "judgement", kRun, "how the price is set"),
    number(kC, "price", "currency/t", 0, 1e6, "mean feed_base + mean spread of the prices table; parameters feed_base_per_t, normal_spread_per_t without any", "derived", "spread of 20 over feed in a normal year",
           "price of accepted grain; with fixed"),
    number(kC, "premium_per_t", "currency/t", -1e6, 1e6, "0", "judgement", kRun, "added to the price; over the feed base with feed_plus and collar"),
    number(kC, "price_floor", "currency/t", 0, 1e6, "none", "given", kOwn, "lowest price; required with collar"),
    number(kC, "price_ceiling", "currency/t", 0, 1e6, "none", "given", kOwn, "highest price; required with collar"),
    number(kC, "haul_per_t", "currency/t", 0, 1e6, "0", "judgement", kRun, "haulage to the store or maltings"),
    words(kC, "reject_rule", "grower_keeps | feed_price", "grower_keeps", "judgement", kRun, "what happens to rejected grain"),
    share_of_month("delivery_jan", "share delivered in January; give all months that are not 0, or none and call_off"),
    share_of_month("delivery_feb", "share delivered in February"),
    share_of_month("delivery_mar", "share delivered in March"),
    share_of_month("delivery_apr", "share delivered in April"),
    share_of_month("delivery_may", "share delivered in May"),
    share_of_month("delivery_jun", "share delivered in June"),
    share_of_month("delivery_jul", "share delivered in July"),
    share_of_month("delivery_aug", "share delivered in August"),
    share_of_month("delivery_sep", "share delivered in September"),
    share_of_month("delivery_oct", "share delivered in October"),
    share_of_month("delivery_nov", "share delivered in November"),
    share_of_month("delivery_dec", "share delivered in December"),
    words(kC, "call_off", "buyer", "buyer, where no delivery share is given", "judgement", kRun, "buyer: the buyer calls grain off when it is wanted"),
    words(kC, "held", "farm | store", "farm", "judgement", kRun, "where the grain waits until it is called off"),
    number(kC, "hold_per_t_month", "currency/t/month", 0, 1e5, "0 on farm; the cost of the first store in store", "judgement", kRun, "cost of holding the grain"),
    text_list(kC, "claims", "claims the grain carries, for instance an origin or assurance scheme"),
    number(kC, "kg_co2e_per_t", "kg CO2e/t", 0, 10000, "none", "given", kOwn, "carbon figure; reported, never decided on"),
};

constexpr std::string_view kB = "backups";
constexpr std::array kBackups = {
    text(kB, "source", "required", "given", kOwn, "name of the source, unique"),
    text(kB, "region", "none", "given", kOwn, "region of the region file that grows it: simulated like a contract"),
    number(kB, "weather_link", "1", -1, 1, "by kind: parameter weather_link_merchant, weather_link_other_region or weather_link_vessel", "derived",
           "correlations of national yields off trend, 1990-2018", "correlation of its cap with the home yield; without a region"),
    text(kB, "origin", "required", "given", kOwn, "name of the origin in the blend"),
    words(kB, "kind", "merchant | other_region | vessel", "merchant", "judgement", kRun, "kind of source"),
    of_kind(FieldKind::month_list, kB, "months", "list jan;feb or all", "all", "judgement", kRun, "months of the year in which it can deliver"),
    number(kB, "cap_t_month", "t/month", 0.01, 1e7, "required", "given", kOwn, "most it can deliver in a month of an average year"),
    number(kB, "cap_t_season", "t", 0, 1e7, "none", "given", kOwn, "most it can deliver over the plan"),
    number(kB, "cap_cv", "fraction", 0, 2, "parameter backup_cap_cv", "judgement", kRun, "coefficient of variation of its cap from year to year"),
    number(kB, "accept_share", "fraction", 0.01, 1, "1", "judgement", kRun, "share of what arrives that is accepted"),
    number(kB, "lot_t", "t", 0, 1e6, "0", "judgement", kRun, "size of one lot; 0: any amount"),
    number(kB, "min_take_t", "t", 0, 1e7, "0", "judgement", kRun, "least tonnes to be taken, by min_take_kind"),
    words(kB, "min_take_kind", "if_used | standing", "none; if_used where min_take_t is given", "judgement", kRun,
          "if_used: at least min_take_t when anything is bought; standing: in any case"),
    number(kB, "lead_days", "days", 0, 730, "0", "judgement", kRun, "days between order and delivery"),
    date(kB, "decide_by", "none", "given", kOwn, "last date to order; empty: the lead time alone rules"),
    number(kB, "committed_t", "t", 0, 1e7, "0", "judgement", kRun, "already bought, spread over its months in order"),
    number(kB, "committed_price", "currency/t", 0, 1e6, "price_per_t", "derived", kSeason, "price of what is already bought"),
    number(kB, "price_per_t", "currency/t", 0, 1e6, "required", "given", kOwn, "price of an average year, as delivered at its own moisture"),
    text(kB, "currency", "the season's currency", "derived", kSeason, "currency of its prices; another one needs a rate in the prices table"),
    number(kB, "freight_per_t", "currency/t", 0, 1e6, "0", "judgement", kRun, "freight to the maltings"),
    number(kB, "price_slope", "currency/t per % of shortage", 0, 1000, "parameter shortage_price_slope", "judgement", "fitted by eye to spreads of four seasons", "price rise with shortage"),
    number(kB, "price_cap", "currency/t", 0, 1e6, "parameter shortage_price_cap", "judgement", "fitted by eye to spreads of four seasons", "largest price rise"),
    number(kB, "option_fee_per_t", "currency/t", 0, 1e6, "0", "judgement", kRun, "fee for each tonne reserved, used or not"),
    number(kB, "n_pct", "% N of dry matter", 0.8, 3, "1.55", "judgement", kRun, "mean grain nitrogen"),
    number(kB, "n_sd", "% N of dry matter", 0, 0.5, "0.05", "judgement", kRun, "spread of its nitrogen from lot to lot"),
    number(kB, "screenings_pct", "%", 0, 60, "4", "practice", "claims begin above 4 %", "grain through a 2.25 mm sieve"),
    number(kB, "moisture_pct", "%", 5, 30, "14.5", "practice", "reference moisture", "moisture as delivered"),
    text_list(kB, "claims", "claims the grain carries"),
    number(kB, "kg_co2e_per_t", "kg CO2e/t", 0, 10000, "none", "given", kOwn, "carbon figure; reported, never decided on"),
};

}  // namespace

std::span<const FieldSpec> contracts() { return kContracts; }
std::span<const FieldSpec> backups() { return kBackups; }

}  // namespace rickyard::field_lists
