// The keys of season.toml.
#include <array>

#include "planner/rules/field_lists.h"

namespace rickyard::field_lists {
namespace {

constexpr std::string_view kT = "season";
constexpr FieldSpec table_path(std::string_view name, std::string_view fallback, std::string_view meaning) {
  return of_kind(FieldKind::path, kT, name, "path or { file, sheet }", fallback, "given", kOwn, meaning);
}
constexpr FieldSpec path(std::string_view name, std::string_view meaning) {
  return of_kind(FieldKind::path, kT, name, "path", "none", "given", kOwn, meaning);
}

constexpr std::array kKeys = {
    whole(kT, "crop_year", "year", 1990, 2200, "required", "given", kOwn, "harvest year the season is about"),
    date(kT, "as_of", "required", "given", kOwn, "date of the plan: nothing later is known"),
    text(kT, "currency", "GBP", "judgement", kRun, "currency of every price without one"),
    whole(kT, "seed", "1", 0, 4294967295.0, "1", "judgement", kRun, "seed of all random draws"),
    words(kT, "model", "daily | formulas", "daily", "judgement", kRun,
          "daily: from rasters; formulas: closed formulas on the tables, no rasters needed"),
    month(kT, "plan_from", "the month after as_of", "practice", kHabit, "first month of the plan"),
    month(kT, "plan_to", "the last month of demand; 12 months after plan_from where demand is by year only", "practice", kHabit,
          "last month of the plan"),
    of_kind(FieldKind::month_day, kT, "season_start", "day MM-DD", "09-01", "practice", "after harvest, before the winter rain",
            "first day of the weather year before harvest; south of the equator 03-01"),
    of_kind(FieldKind::month_day, kT, "season_end", "day MM-DD", "10-31", "practice", "wet-grain terms end",
            "last day of harvest; south of the equator 04-30"),
    words(kT, "start", "previous_year | field_capacity", "previous_year", "judgement", kRun,
          "soil water on season_start: run on from the year before, or full"),
    text(kT, "note", "none", "given", kOwn, "free text"),
    number(kT, "diurnal_range_c", "C", 1, 30, "none", "given", kOwn,
           "difference of daily maximum and minimum; required where only mean temperature is given"),

    number(kT, "spec.limit_n_pct", "% N of dry matter", 0.8, 3, "1.65", "practice", "usual limit for malt spirit",
           "highest nitrogen taken free of claim"),
    number(kT, "spec.stop_n_pct", "% N of dry matter", 0.8, 3, "limit_n_pct", "derived", kSeason, "highest nitrogen taken with a claim"),
    number(kT, "spec.floor_n_pct", "% N of dry matter", 0.8, 3, "none", "practice", "1.20 is the trade's lower bound",
           "lowest nitrogen taken; absent: off"),
    words(kT, "spec.limit_policy", "fixed | after_harvest", "fixed", "judgement", kRun,
          "after_harvest: the limit may rise to limit_max once the crop is known"),
    number(kT, "spec.limit_max", "% N of dry matter", 0.8, 3, "none", "given", kOwn,
           "highest limit that may be set after harvest; required with after_harvest"),
    number(kT, "spec.screenings_max_pct", "%", 0.1, 60, "10", "practice", kHabit, "most grain through a 2.25 mm sieve"),
    number(kT, "spec.germination_min_pct", "%", 50, 100, "98", "practice", kHabit, "least germination"),

    table_path("tables.contracts", "required", "table of contracts"),
    table_path("tables.backups", "none", "table of backup sources"),
    table_path("tables.demand", "required", "table of demand"),
    table_path("tables.stock", "none", "table of stock"),
    table_path("tables.stores", "none", "table of stores"),
    table_path("tables.maltings", "none", "table of maltings"),
    table_path("tables.prices", "none", "table of prices"),
    table_path("tables.outlets", "none", "table of outlets"),
    table_path("tables.varieties", "none", "table of varieties"),
    table_path("tables.history", "none", "table of past deliveries"),

    path("regions.path", "vector file of the regions; required with model = \"daily\""),
    text(kT, "regions.id", "region", "judgement", kRun, "field that holds the region's id"),
    text(kT, "regions.layer", "the only layer", "judgement", kRun, "layer of the file"),
    text(kT, "regions.name", "the id", "judgement", kRun, "field that holds the region's name"),
    text(kT, "regions.crs", "as the file says", "given", kOwn, "coordinate system, where the file states none"),

    path("rasters.*.path", "raster file; may hold {year}"),
    text(kT, "rasters.*.variable", "the only variable", "judgement", kRun, "variable or subdataset"),
    text(kT, "rasters.*.crs", "as the file says", "given", kOwn, "coordinate system, where the file states none"),
    text(kT, "rasters.*.unit", "as the file says", "given", kOwn, "unit, where the file states none"),
    text(kT, "rasters.*.calendar", "as the file says", "given", kOwn, "CF calendar, where the file states none"),
    path("rasters.*.dates", "CSV with the date of each band"),
    number(kT, "rasters.*.fill", "raw value", kNone, kNone, "as the file says", "given", kOwn,
           "value that means no data, where the file states none"),
    number(kT, "rasters.*.scale", "1", kNone, kNone, "as the file says", "given", kOwn, "value = raw x scale + offset"),
    number(kT, "rasters.*.offset", "unit of the raster", kNone, kNone, "as the file says", "given", kOwn, "value = raw x scale + offset"),
    words(kT, "rasters.*.step", "day | month", "day", "judgement", kRun, "time step; month: daily patterns are drawn"),

    number(kT, "soil.sand_pct", "% by weight", 0, 100, "required", "given", kOwn, "sand; one soil everywhere, in place of soil rasters"),
    number(kT, "soil.clay_pct", "% by weight", 0, 100, "required", "given", kOwn, "clay"),
    number(kT, "soil.organic_matter_pct", "% by weight", 0, 30, "required", "given", kOwn, "organic matter"),
    number(kT, "soil.stones_pct", "% by volume", 0, 90, "0", "judgement", kRun, "stones"),
    number(kT, "soil.root_depth_m", "m", 0.3, 2, "1.0", "seen", "FAO-56 table 22", "deepest rooting"),

    number(kT, "outlook.dry", "probability", 0, 1, "1/3", "derived", "every past year counts the same",
           "chance of a dry season; the three sum to 1"),
    number(kT, "outlook.normal", "probability", 0, 1, "1/3", "derived", "every past year counts the same", "chance of a normal season"),
    number(kT, "outlook.wet", "probability", 0, 1, "1/3", "derived", "every past year counts the same", "chance of a wet season"),

    number(kT, "risk.lambda", "1", 0, 100, "0.5", "judgement", kRun, "weight of bad outcomes beside the expected cost"),
    number(kT, "risk.alpha", "probability", 0, 0.999, "0.9", "judgement", kRun, "bad outcomes are the worst 1 - alpha"),
    number(kT, "risk.p", "probability", 0, 1, "none", "given", kOwn, "chance with which the need must be met; absent: off"),
    number(kT, "risk.unmet_max_t", "t", 0, 1e9, "none", "given", kOwn, "most reference tonnes of need left unmet on average; absent: off"),
    number(kT, "risk.co2e_max_t", "t CO2e", 0, 1e9, "none", "given", kOwn,
           "most carbon that the grain bought carries on average; absent: off"),
    number(kT, "risk.unmet_price", "currency/t", 0, 1e7, "required", "given", kOwn,
           "price of a tonne of need left unmet, above the dearest grain"),

    text(kT, "share_limit.origin", "required", "given", kOwn, "origin whose share is limited"),
    text(kT, "share_limit.line", "all lines together", "judgement", kRun, "line the limit is for"),
    number(kT, "share_limit.max_share", "fraction", 0, 1, "required", "given", kOwn, "largest share of what is used in any month"),

    number(kT, "closing.*", "t", 0, 1e8, "next year's need from the plan's end to the first new crop, and 3 weeks", "practice",
           "2 to 4 weeks of safety cover", "stock to leave at the end; `any`, or a claim"),
    number(kT, "parameters.*", "see METHODS.md", kNone, kNone, "see METHODS.md", "given", "METHODS.md", "any model parameter"),

    text(kT, "case.name", "required", "given", kOwn, "name of the case, unique"),
    of_kind(FieldKind::twelve, kT, "case.rain_factor", "1, January first", "1 in every month", "derived", "no change",
            "multiplies rain, 0 to 5; twelve numbers, or { jun = 0.5 }"),
    number(kT, "case.temperature_shift_c", "C", -10, 10, "0", "derived", "no change", "added to every temperature"),
    number(kT, "case.yield_factor", "1", 0, 3, "1", "derived", "no change", "multiplies every yield"),
    number(kT, "case.n_shift_pct", "% N of dry matter", -1, 1, "0", "derived", "no change", "added to every nitrogen"),
    number(kT, "case.other_failure_pct", "%", 0, 95, "no change", "derived", "no change", "replaces other failures"),
    number(kT, "case.limit_n_pct", "% N of dry matter", 0.8, 3, "no change", "derived", "no change", "replaces the limit"),
    number(kT, "case.stop_n_pct", "% N of dry matter", 0.8, 3, "no change; the limit where the case sets that alone", "derived",
           "no change", "replaces the stop"),
    number(kT, "case.floor_n_pct", "% N of dry matter", 0.8, 3, "no change", "derived", "no change", "replaces the floor"),
    whole(kT, "case.sowing_shift_days", "days", -60, 120, "0", "derived", "no change", "moves every planned sowing date"),
    number(kT, "case.demand_factor", "1", 0, 5, "1", "derived", "no change", "multiplies demand"),
    text_list(kT, "case.regions_lost", "regions that deliver nothing"),
    text_list(kT, "case.backups_lost", "backups that deliver nothing"),
    of_kind(FieldKind::text_list, kT, "case.years", "list of years", "all", "derived", "no change", "only these weather years"),
};

}  // namespace

std::span<const FieldSpec> keys() { return kKeys; }

}  // namespace rickyard::field_lists
