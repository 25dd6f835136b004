#pragma once
// The plan document: the one result everything else reads. io writes it as plan.json, reports show it, nobody recomputes it.
// Percentages 0-100, shares 0-1, months YYYY-MM, dates YYYY-MM-DD, tonnes at 14.5 % moisture.
// A block that a command does not fill is absent, with a line in `warnings`.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "planner/base/calendar.h"
#include "planner/base/range.h"
#include "planner/document/decision_document.h"

namespace rickyard {

inline constexpr const char* kPlanSchema = "1";

struct DateRange {
  std::optional<Date> p10, p50, p90;  // empty: not reached in that share of years
};

struct PlanDocument {
  struct SeasonBlock {
    int crop_year = 0;
    Date as_of{boost::date_time::not_a_date_time};
    std::string case_name;  // "base" for the base plan
    double limit_n_pct = 0, stop_n_pct = 0;
    std::string limit_policy;
    unsigned seed = 0;
    std::string currency, model;
    std::optional<Date> weather_known_through;  // last day of the season in hand whose weather is known; empty: none of it
  };
  struct Horizon {
    Month first_month, last_month;
    Date intake_closed{boost::date_time::not_a_date_time};
  };
  struct WeatherYear {
    int year = 0;
    double weight = 0;
    std::optional<double> rain_mm;          // season rain; absent for formulas
    std::optional<double> rain_apr_jul_mm;  // of the archive, also under a case: what `kind` is told by
    std::string kind;                       // dry, normal, wet; "drawn" for formulas
  };
  struct Causes {
    double nitrogen = 0, screenings = 0, germination = 0, other = 0;  // mean tonnes
  };
  struct Losses {
    double sowing = 0, water = 0, waterlogging = 0, frost = 0, heat = 0, harvest = 0;  // mean t/ha
  };
  /// From what the season could have grown to what qualifies, tonnes: attainable less the causes, in this order, is qualifying, exactly
  /// as written. `other` also holds what the draws moved.
  struct CauseTonnes {
    double attainable = 0;
    double sowing = 0, water = 0, waterlogging = 0, frost = 0, heat = 0, harvest = 0;
    double nitrogen = 0, screenings = 0, germination = 0, other = 0;
    double qualifying = 0;
  };
  struct HarvestWeather {  // empty without weather, and moisture where nothing was harvested
    std::optional<double> moisture_pct, combine_days, wet_days, late_share;
  };
  struct RegionYear {
    int year = 0;
    double yield_t_ha = 0, n_pct = 0, screenings_pct = 0, qualifying_share = 0, offered_t = 0, qualifying_t = 0;  // means over draws
    std::optional<Date> sown, ripe, harvested;
    HarvestWeather harvest_weather;
    CauseTonnes causes;
    std::vector<std::string> drivers;  // what set the year apart
  };
  struct RegionBlock {
    std::string region, name, origin;
    double planted_ha = 0, harvested_ha = 0;
    std::vector<std::string> suitability;
    Range yield_t_ha, n_pct, n_accepted_pct, screenings_pct, qualifying_share, offered_t, qualifying_t, with_claim_t, rejected_t;
    Causes rejected_by_cause_t;
    DateRange sown, heading, ripe, harvested;
    Losses loss_t_ha;
    HarvestWeather harvest_weather;  // means over years
    CauseTonnes causes;              // means over scenarios
    std::vector<std::string> drivers;
    std::vector<RegionYear> by_year;
  };
  /// What one more hectare (tonne for tonnage rows) of a contract saves, and what one less would cost.
  struct OneMore {
    std::string unit;
    std::optional<double> value, less_costs;
  };
  struct ContractBlock {
    std::string contract, file;
    int row = 0;
    std::string region, form;
    bool is_signed = true;
    double amount = 0;
    std::string unit;  // "ha" or "t"
    double proposed = 0;
    Range delivered_t, accepted_t, made_good_t, cost;
    std::optional<OneMore> one_more;  // contract command only
  };
  struct YearTonnes {
    int year = 0;
    double qualifying_t = 0;
  };
  struct Interval {
    double lo = 0, hi = 0;
  };
  struct Supply {
    Range qualifying_t;
    std::vector<YearTonnes> by_year;
    Range if_regions_were_independent;
    double one_in_twenty_t = 0, one_in_twenty_if_independent_t = 0;  // 1 year in 20 lies below
    Interval sampling_p10, sampling_p50, sampling_p90;
  };
  struct NeedStep {
    std::string name;
    double factor = 0;
    std::string status;
  };
  struct NeedMonth {
    Month month;
    std::string line;
    double need_t = 0;
  };
  struct Need {
    double spirit_lpa = 0, malt_t = 0, barley_t = 0;
    std::vector<NeedStep> steps;
    std::vector<NeedMonth> by_month;
  };
  struct FirstUnmet {
    Month month;
    double probability = 0;
  };
  struct MonthChance {
    Month month;
    double need_t = 0;
    double chance_met = 0;        // of this month: at most 0.1 % of its need unmet
    double chance_met_until = 0;  // of this month and every one before
  };
  struct Cover {
    Range backup_t, unmet_t, surplus_t;
    double chance_covered = 0;
    std::vector<MonthChance> by_month;
    std::vector<FirstUnmet> first_unmet_month;  // months with positive probability
    double never = 0;
  };
  struct Decision {
    std::string what, source;
    Date by{boost::date_time::not_a_date_time};
    double t = 0;       // mean where it differs by year
    std::string stage;  // "now" or "after harvest"
    std::string if_not;
  };
  struct PurchaseBlock {
    std::string source, origin, stage;
    Range t, price;
  };
  struct Blend {
    std::string origin, source;
    int crop_year = 0;
    Range t, t_equiv, share;
    std::vector<double> by_year_t;  // mean over the year's programme draws, in the order of `years`
  };
  struct MonthBlock {
    Month month;
    std::string line;
    double need_t = 0;
    Range unmet_t;
    std::vector<double> unmet_by_year_t;
    Range n_pct;
    std::vector<Blend> blend;
  };
  struct StockBlock {
    Month month;
    std::string origin;
    int crop_year = 0;
    Range opening_t, arrivals_t, used_t, lost_t, sold_t, closing_t;
  };
  struct CostBlock {
    Range total;
    double lambda = 0, alpha = 0, cvar = 0;
    std::optional<double> value_of_stochastic_solution, value_of_perfect_information;  // contract command only
    Range contracts, purchases, freight, options, storage, interest, claims, rejects, unmet, outlets;
  };
  struct MapCell {
    double lon = 0, lat = 0, w = 0, h = 0, qualifying_t_ha = 0;
  };
  struct MapRegion {
    std::string region, name, outline_geojson;  // GeoJSON geometry text
  };
  struct MapBlock {
    std::vector<MapRegion> regions;
    std::vector<MapCell> cells;
  };
  struct OriginShare {
    std::string origin;
    double t = 0, share = 0;
  };
  struct KindUnmet {
    std::string kind;  // of years
    double unmet_t = 0;
  };
  /// Sums over the blocks above, so that no report has to add up: means over scenarios, unmet in reference tonnes.
  struct Totals {
    double need_t = 0, opening_stock_t = 0;
    std::vector<double> unmet_by_year_t;     // in the order of `years`
    std::vector<KindUnmet> unmet_by_kind_t;  // kinds that occur with weight
    std::vector<OriginShare> blend;          // what is used, the largest first
  };
  /// How the plan was found: "optimal" within the gap, or "stopped" by the clock or by the user.
  struct Solution {
    std::string status = "optimal";
    double gap = 0;  // relative, to the bound that is proved
  };
  struct StoreMonth {
    Month month;
    Range stock_t;  // in store at the end of the month, grain left on farms not counted
    double chance_full = 0;
  };
  struct Store {
    std::optional<double> capacity_t;  // of all stores; empty: no limit
    double chance_full = 0;            // in any month
    std::vector<StoreMonth> by_month;
  };
  struct ContractShare {
    std::string contract;
    double share = 0;  // of the qualifying tonnes of all contracts, mean over mean
  };
  /// How much of the qualifying grain hangs on few contracts.
  struct Dependence {
    std::vector<ContractShare> largest;  // at most five, the largest first
    double share = 0;                    // of them together
    std::string driest;                  // what the driest third is told by
    double share_in_driest = 0;
  };
  struct ClaimLine {
    std::string line, origin_rule;
    double need_t = 0;
    Range filled_t, unmet_t;                 // reference tonnes
    double topped_up_t = 0;                  // from grain without the claim, mean; counted from the flows
    double others_filled_while_short_t = 0;  // what other lines used in the scenarios in which this one is short, mean over them
    std::string words;
  };
  /// What fails where the plan fails: over the scenarios that are not covered.
  struct Failure {
    double chance = 0;
    std::optional<Month> first_month;  // earliest in which one of them runs short; empty: none is short
    double unmet_t = 0, unmet_cost = 0;
    std::string source;  // whose grain falls furthest below its own mean
    double source_below_t = 0;
    std::string words;
  };
  struct CarbonSource {
    std::string source, kind;  // "contract" or "backup"
    double t = 0;              // bought, mean
    std::optional<double> kg_co2e_per_t;
    double co2e_t = 0;
  };
  struct Carbon {
    double total_t_co2e = 0, tonnes_without_figure = 0;
    std::vector<CarbonSource> by_source;
  };
  struct LimitUsed {
    int year = 0;
    double limit_n_pct = 0;
  };
  struct CalibrationEntry {
    std::string name, unit;
    double user = 0, calibrated = 0;
    int seasons = 0;  // crop years of deliveries behind it
    double standard_error = 0, moved_by = 0;
    std::string note;
  };
  struct Assumption {
    std::string name;
    std::string value;
    std::string unit, status, source;
  };
  struct Input {
    std::string path, sha256, role;
  };
  /// Was it right before: past seasons forecast as on one date, all regions together. A self-test has no verdict; nor has a hindcast that
  /// scored nothing.
  struct Backtest {
    std::string kind;  // "deliveries" or "self-test"
    std::string of;    // "qualifying" or "delivered"
    std::string date;  // "sowing" or MM-DD
    int n = 0, hits = 0;
    std::array<int, 2> hits_interval{};
    double bias = 0, crps = 0;                  // t
    std::optional<double> crps_five_year_mean;  // t
    std::optional<std::string> verdict;
    std::string reason;
  };

  std::string version;
  SeasonBlock season;
  Horizon horizon;
  std::vector<WeatherYear> years;
  std::vector<RegionBlock> regions;
  std::vector<ContractBlock> contracts;
  Supply supply;
  Need need;
  Cover cover;
  std::vector<Decision> decisions;
  std::vector<PurchaseBlock> purchases;
  std::vector<MonthBlock> months;
  std::vector<StockBlock> stock;
  CostBlock cost;
  Solution solution;
  Store store;
  Dependence dependence;
  std::vector<ClaimLine> claim_lines;
  Failure failure;
  Carbon carbon;
  std::optional<DecisionDocument> decision;  // contract command only; its members stand beside the blocks above
  Totals totals;
  std::optional<MapBlock> map;  // absent without regions
  std::vector<LimitUsed> limit_used;
  std::optional<Backtest> backtest;                          // absent where it was not asked for
  std::optional<std::vector<CalibrationEntry>> calibration;  // absent where no calibration was run; empty where no delivery was used
  std::vector<std::string> warnings, cautions;
  std::vector<Assumption> assumptions;
  std::vector<Input> inputs;
};

}  // namespace rickyard
