#pragma once
// A season as the planner knows it: what season.toml and the tables say, in domain types.
// Optional fields that are empty after reading are filled by season_defaults and then always hold a value
// where the comment says "default"; fields without that word may stay empty.
#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "planner/base/calendar.h"
#include "planner/base/parameters.h"

namespace rickyard {

enum class ContractForm { area, area_capped, tonnage };
enum class YieldBasis { whole_field, in_field };
enum class NitrogenBasis { all_grain, accepted };
enum class PriceForm { fixed, feed_plus, collar };
enum class RejectRule { grower_keeps, feed_price };
enum class Held { farm, store };
enum class BackupKind { merchant, other_region, vessel };
enum class MinimumTake { none, if_used, standing };
enum class LimitPolicy { fixed, after_harvest };
enum class ForecastModel { daily, formulas };
enum class SeasonStart { previous_year, field_capacity };

/// Where a row was read: for the plan document and for error messages. row is 1-based, the header is row 1.
struct SourceRow {
  std::string file;
  int row = 0;
};

/// One contract in one region. Tonnes at 14.5 % moisture; N on dry matter.
struct ContractRow {
  SourceRow at;
  std::string region;                      // required; id of a region
  std::string origin;                      // default: the region
  std::string contract;                    // default: region + "-" + form
  ContractForm form = ContractForm::area;  // required
  std::optional<double> growers;           // default 1; at least 1
  std::optional<double> planted_ha;        // required for area forms; for tonnage default contracted_t / yield
  std::optional<double> min_ha, max_ha;    // default planted_ha (fixed)
  std::optional<double> harvested_share;   // fraction of planted, default 0.97
  std::optional<double> contracted_t;      // required for tonnage
  std::optional<double> cap_t_ha;          // required for area_capped
  std::optional<double> tolerance_t;       // default min(5 % of T, 15 t x growers)
  std::optional<double> made_good;         // fraction, default 0.5
  std::optional<double> settled_share;     // fraction, default 0.5
  std::string variety;                     // may be empty
  std::optional<double> yield_t_ha;        // required
  YieldBasis yield_basis = YieldBasis::whole_field;
  std::optional<double> headland_share;  // fraction, default 0.12; used with in_field only
  std::optional<double> typical_n_pct;   // default 1.48
  bool typical_n_is_default = false;     // set by season_defaults: the figure knows nothing of the row's variety
  NitrogenBasis n_basis = NitrogenBasis::all_grain;
  std::optional<double> n_basis_limit_pct;                    // required with accepted
  std::optional<double> typical_screenings_pct;               // default parameter
  std::optional<double> typical_other_failure_pct;            // default parameter
  std::optional<double> n_rate_kg_ha;                         // default: the reference rate (no effect)
  std::optional<Date> sow_earliest, sow_planned, sow_latest;  // default by parameter
  std::optional<Date> sown;                                   // mean date on which the row was sown, once known
  std::optional<double> declared_ha;                          // planted hectares as declared, once known: replaces planted_ha
  std::optional<double> contracted_ha;                        // set by season_defaults: planted_ha before declared_ha replaced it
  std::optional<Date> usual_harvest;                          // default: model's own
  std::optional<Date> sign_by;                                // default: as_of (signed)
  PriceForm price_form = PriceForm::fixed;
  std::optional<double> price;                       // per t; default: mean feed base + normal spread
  std::optional<double> premium_per_t;               // default 0; for feed_plus and collar: over the feed base
  std::optional<double> price_floor, price_ceiling;  // required with collar
  std::optional<double> haul_per_t;                  // default 0
  RejectRule reject_rule = RejectRule::grower_keeps;
  std::optional<std::array<double, 12>> delivery_share;  // January first, sums to 1; empty: the buyer calls off
  Held held = Held::farm;
  std::optional<double> hold_per_t_month;  // default 0 on farm, the store's cost in store
  std::vector<std::string> claims;         // origin and assurance claims
  std::optional<double> kg_co2e_per_t;
};

/// One backup source. Prices per tonne as delivered at its own moisture; tonnes at 14.5 %.
struct BackupRow {
  SourceRow at;
  std::string source;                       // required, unique
  std::string region;                       // id of a region inside the rasters: simulated
  std::optional<double> weather_link;       // correlation of its cap with the home yield factor; default by kind
  std::string origin;                       // required
  BackupKind kind = BackupKind::merchant;   // default merchant
  std::array<bool, 12> months_available{};  // January first; default all
  std::optional<double> cap_t_month;        // required
  std::optional<double> cap_t_season;       // default: none
  std::optional<double> cap_cv;             // fraction, default parameter
  std::optional<double> accept_share;       // fraction, default 1
  std::optional<double> lot_t;              // default 0: any amount
  std::optional<double> min_take_t;         // default 0
  MinimumTake min_take_kind = MinimumTake::none;
  std::optional<double> lead_days;         // default 0
  std::optional<Date> decide_by;           // default: none, the lead time alone rules
  std::optional<double> committed_t;       // default 0, already bought, spread over its months in order
  std::optional<double> committed_price;   // default price_per_t
  std::optional<double> price_per_t;       // required
  std::string currency;                    // default: the season's
  std::optional<double> freight_per_t;     // default 0
  std::optional<double> price_slope;       // per % of shortage, default 1.2
  std::optional<double> price_cap;         // default 60
  std::optional<double> option_fee_per_t;  // default 0
  std::optional<double> n_pct, n_sd;       // default 1.55, 0.05
  std::optional<double> screenings_pct;    // default 4
  std::optional<double> moisture_pct;      // default 14.5
  std::vector<std::string> claims;
  std::optional<double> kg_co2e_per_t;
};

enum class NeedUnit { spirit_lpa, malt_t, barley_t };

/// Need of one product line in one month (of distilling, malt use or barley use by unit), or for the whole year.
struct DemandRow {
  SourceRow at;
  std::string line;            // required
  std::optional<Month> month;  // empty: the year, split over plan months by working days
  NeedUnit unit = NeedUnit::spirit_lpa;
  double amount = 0;                              // in `unit`
  std::optional<double> low_factor, high_factor;  // default 0.95, 1.05
  std::string origin_rule;                        // empty: any grain; else the claim that every tonne must carry
  bool peated = false;
  std::optional<double> silent_days;    // default 0 for a month row; for a year row by parameter
  std::optional<double> n_ceiling_pct;  // default: none
  std::optional<double> priority;       // default 1; 1 is filled first among equals
};

struct StockRow {
  SourceRow at;
  std::string lot;                                            // default "stock-<row>"
  std::string store;                                          // default: the first store
  std::string origin;                                         // required
  int crop_year = 0;                                          // required
  double tonnes = 0;                                          // required
  std::optional<Date> available_from;                         // default as_of
  std::optional<double> n_pct, screenings_pct, moisture_pct;  // default 1.50, 4, 14.5
  std::vector<std::string> claims;
  std::string variety;
};

struct StoreRow {
  SourceRow at;
  std::string store;
  double capacity_t = 0;
  std::optional<double> loss_pct_year;            // default 0.8
  std::optional<double> cost_per_t_month;         // default 1.0
  std::optional<double> bins;                     // default: no limit
  std::optional<double> dry_t_day, intake_t_day;  // default: no limit
};

struct MaltingRow {
  SourceRow at;
  std::string plant;
  std::optional<Month> month;       // empty: every month
  double barley_t = 0;              // per month
  std::optional<double> shut_days;  // default 0
};

struct PriceRow {
  SourceRow at;
  Month month;
  std::optional<double> feed_base, index, spread;
  std::string currency;  // with currency_rate: season currency per unit of it
  std::optional<double> currency_rate;
};

struct OutletRow {
  SourceRow at;
  std::string outlet;
  std::optional<double> n_min_pct, n_max_pct;
  double price_per_t = 0;
  std::optional<double> cap_t_month;
};

struct VarietyRow {
  SourceRow at;
  std::string variety;
  std::optional<int> approved_from, approved_to;  // crop years, inclusive
  std::optional<double> yield_factor;             // default 1; levels history of mixed varieties, not the forecast
  std::optional<double> n_offset_pct;             // default 0; on rows without a typical N of their own
  std::optional<double> thermal_factor;           // default 1, multiplies every stage's thermal time
  std::optional<double> share_cap;                // fraction of contracted hectares
};

struct HistoryRow {
  SourceRow at;
  std::string region;
  std::string grower;   // may be empty: the whole region
  std::string variety;  // may be empty: as the contract rows of the region
  int crop_year = 0;
  std::optional<double> planted_ha, delivered_t, qualifying_t, n_pct, screenings_pct, moisture_pct, limit_n_pct;
  NitrogenBasis n_basis = NitrogenBasis::all_grain;
  std::optional<Date> sown;
};

/// A ceiling on the share of one origin in what is used in any month: of one line, or of all lines together.
struct ShareLimit {
  std::string origin;
  std::string line;      // empty: all lines together
  double max_share = 1;  // fraction
};

/// The acceptance rules of the season. N on dry matter, percent.
struct Specification {
  std::optional<double> limit_n_pct;  // default 1.65
  std::optional<double> stop_n_pct;   // default the limit
  std::optional<double> floor_n_pct;  // absent: off
  LimitPolicy limit_policy = LimitPolicy::fixed;
  std::optional<double> limit_max;            // required with after_harvest
  std::optional<double> screenings_max_pct;   // default 10
  std::optional<double> germination_min_pct;  // default 98
};

struct RiskChoice {
  std::optional<double> lambda;       // default 0.5
  std::optional<double> alpha;        // default 0.9
  std::optional<double> p;            // chance with which need must be met; absent: off
  std::optional<double> unmet_price;  // required, per tonne
  std::optional<double> unmet_max_t;  // most reference tonnes unmet on average; absent: off
  std::optional<double> co2e_max_t;   // most t CO2e that the grain bought carries on average; absent: off
};

/// Seasonal rain outlook: probabilities of the dry, normal and wet tercile of past years; they sum to 1.
struct Outlook {
  double dry = 1.0 / 3, normal = 1.0 / 3, wet = 1.0 / 3;
};

/// One raster stack of season.toml, as the user declared it; `geo` opens it.
struct RasterSource {
  std::string path;                        // as written, relative to season.toml; may hold {year}
  std::string variable;                    // NetCDF variable or subdataset, may be empty
  std::string crs, unit, calendar, dates;  // declared by the user where the file does not say; dates: sidecar CSV
  std::optional<double> fill, scale, offset;
  std::string step;  // "day" (default) or "month"
};

struct RegionSource {
  std::string path, id, layer, name, crs;  // id: the field that holds region ids (default "region")
};

/// One soil everywhere, stated in season.toml instead of soil rasters. Texture in percent by weight.
struct UniformSoil {
  double sand_pct = 0, clay_pct = 0, organic_matter_pct = 0;
  std::optional<double> stones_pct, root_depth_m;  // default 0, 1.0
};

/// The only way to differ from the season file: a case, a flag, an edit on the page.
struct SeasonPatch {
  std::string name;                                                           // empty for the base plan
  std::array<double, 12> rain_factor = {1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1};  // January first
  double temperature_shift_c = 0;
  double yield_factor = 1;
  double n_shift_pct = 0;
  std::optional<double> other_failure_pct;
  std::optional<double> limit_n_pct, stop_n_pct, floor_n_pct;
  int sowing_shift_days = 0;
  double demand_factor = 1;
  std::vector<std::string> regions_lost, backups_lost;
  std::vector<int> years;                  // only these weather years; empty: all
  std::optional<double> lambda, alpha, p;  // in place of risk.lambda, risk.alpha, risk.p; set by flags, never by a case
};

/// A default that was used because the user gave nothing.
struct DefaultUsed {
  std::string name;  // "contracts.harvested_share"
  std::string value, unit, status, source;
  int rows = 1;  // how many rows used it
};

/// Something the data files did not say and the season file declared, or hectares declared in place of contracted ones.
struct Declared {
  std::string what;  // "rasters.rain.crs"
  std::string value;
  std::string source = "declared by the user; the file does not say";
};

struct Season {
  explicit Season(ParameterSet parameters_in) : parameters(std::move(parameters_in)) {}

  std::string path;  // of season.toml, for messages only; never in plan.json
  int crop_year = 0;
  Date as_of{boost::date_time::not_a_date_time};
  std::string currency = "GBP";
  unsigned seed = 1;
  ForecastModel model = ForecastModel::daily;
  std::optional<Month> plan_from, plan_to;  // default: month after as_of .. last demand month
  MonthDay season_start{9, 1};              // first day of the water year (previous calendar year)
  MonthDay season_end{10, 31};              // last day of the harvest season
  SeasonStart start = SeasonStart::previous_year;
  std::string note;
  Specification spec;
  RiskChoice risk;
  Outlook outlook;  // equal thirds: every archive year counts the same
  ParameterSet parameters;
  RegionSource regions;
  std::map<std::string, RasterSource> rasters;  // rain, tmin, tmax, tmean, wind, humidity, radiation, et0, wet_days, sand, clay,
                                                // organic_matter, stones, root_depth, available_water, drainage_class, crop_mask, elevation
  std::optional<double> diurnal_range_c;        // with tmean only
  std::optional<UniformSoil> soil;              // in place of soil rasters
  std::vector<ContractRow> contracts;
  std::vector<BackupRow> backups;
  std::vector<DemandRow> demand;
  std::vector<StockRow> stock;
  std::vector<StoreRow> stores;
  std::vector<MaltingRow> maltings;
  std::vector<PriceRow> prices;
  std::vector<OutletRow> outlets;
  std::vector<VarietyRow> varieties;
  std::vector<HistoryRow> history;
  std::vector<ShareLimit> share_limits;
  std::map<std::string, double> closing_t;  // by claim ("" = any grain); default computed
  std::vector<SeasonPatch> cases;
  std::vector<DefaultUsed> defaults_used;
  std::vector<Declared> declared;
};

}  // namespace rickyard
