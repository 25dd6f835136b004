#pragma once
// The columns of every table, once: reading, defaults, checks and comparisons all walk these lists.
// visit_fields(row, visit) calls visit("column name", row.member) in the order of season_fields.
// Three columns are more than one cell and are left to the reader: delivery_jan.. (with call_off),
// the amount of demand in its unit, and months of a backup.
#include <type_traits>

#include "planner/season/season.h"

namespace rickyard {

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, ContractRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("region", row.region);
  visit("origin", row.origin);
  visit("contract", row.contract);
  visit("form", row.form);
  visit("growers", row.growers);
  visit("planted_ha", row.planted_ha);
  visit("min_ha", row.min_ha);
  visit("max_ha", row.max_ha);
  visit("declared_ha", row.declared_ha);
  visit("harvested_share", row.harvested_share);
  visit("contracted_t", row.contracted_t);
  visit("cap_t_ha", row.cap_t_ha);
  visit("tolerance_t", row.tolerance_t);
  visit("made_good", row.made_good);
  visit("settled_share", row.settled_share);
  visit("variety", row.variety);
  visit("yield_t_ha", row.yield_t_ha);
  visit("yield_basis", row.yield_basis);
  visit("headland_share", row.headland_share);
  visit("typical_n_pct", row.typical_n_pct);
  visit("n_basis", row.n_basis);
  visit("n_basis_limit_pct", row.n_basis_limit_pct);
  visit("typical_screenings_pct", row.typical_screenings_pct);
  visit("typical_other_failure_pct", row.typical_other_failure_pct);
  visit("n_rate_kg_ha", row.n_rate_kg_ha);
  visit("sow_earliest", row.sow_earliest);
  visit("sow_planned", row.sow_planned);
  visit("sow_latest", row.sow_latest);
  visit("sown", row.sown);
  visit("usual_harvest", row.usual_harvest);
  visit("sign_by", row.sign_by);
  visit("price_form", row.price_form);
  visit("price", row.price);
  visit("premium_per_t", row.premium_per_t);
  visit("price_floor", row.price_floor);
  visit("price_ceiling", row.price_ceiling);
  visit("haul_per_t", row.haul_per_t);
  visit("reject_rule", row.reject_rule);
  visit("held", row.held);
  visit("hold_per_t_month", row.hold_per_t_month);
  visit("claims", row.claims);
  visit("kg_co2e_per_t", row.kg_co2e_per_t);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, BackupRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("source", row.source);
  visit("region", row.region);
  visit("weather_link", row.weather_link);
  visit("origin", row.origin);
  visit("kind", row.kind);
  visit("cap_t_month", row.cap_t_month);
  visit("cap_t_season", row.cap_t_season);
  visit("cap_cv", row.cap_cv);
  visit("accept_share", row.accept_share);
  visit("lot_t", row.lot_t);
  visit("min_take_t", row.min_take_t);
  visit("min_take_kind", row.min_take_kind);
  visit("lead_days", row.lead_days);
  visit("decide_by", row.decide_by);
  visit("committed_t", row.committed_t);
  visit("committed_price", row.committed_price);
  visit("price_per_t", row.price_per_t);
  visit("currency", row.currency);
  visit("freight_per_t", row.freight_per_t);
  visit("price_slope", row.price_slope);
  visit("price_cap", row.price_cap);
  visit("option_fee_per_t", row.option_fee_per_t);
  visit("n_pct", row.n_pct);
  visit("n_sd", row.n_sd);
  visit("screenings_pct", row.screenings_pct);
  visit("moisture_pct", row.moisture_pct);
  visit("claims", row.claims);
  visit("kg_co2e_per_t", row.kg_co2e_per_t);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, DemandRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("line", row.line);
  visit("month", row.month);
  visit("low_factor", row.low_factor);
  visit("high_factor", row.high_factor);
  visit("origin_rule", row.origin_rule);
  visit("peated", row.peated);
  visit("silent_days", row.silent_days);
  visit("n_ceiling_pct", row.n_ceiling_pct);
  visit("priority", row.priority);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, StockRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("lot", row.lot);
  visit("store", row.store);
  visit("origin", row.origin);
  visit("crop_year", row.crop_year);
  visit("tonnes", row.tonnes);
  visit("available_from", row.available_from);
  visit("n_pct", row.n_pct);
  visit("screenings_pct", row.screenings_pct);
  visit("moisture_pct", row.moisture_pct);
  visit("claims", row.claims);
  visit("variety", row.variety);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, StoreRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("store", row.store);
  visit("capacity_t", row.capacity_t);
  visit("loss_pct_year", row.loss_pct_year);
  visit("cost_per_t_month", row.cost_per_t_month);
  visit("bins", row.bins);
  visit("dry_t_day", row.dry_t_day);
  visit("intake_t_day", row.intake_t_day);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, MaltingRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("plant", row.plant);
  visit("month", row.month);
  visit("barley_t", row.barley_t);
  visit("shut_days", row.shut_days);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, PriceRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("month", row.month);
  visit("feed_base", row.feed_base);
  visit("index", row.index);
  visit("spread", row.spread);
  visit("currency", row.currency);
  visit("currency_rate", row.currency_rate);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, OutletRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("outlet", row.outlet);
  visit("n_min_pct", row.n_min_pct);
  visit("n_max_pct", row.n_max_pct);
  visit("price_per_t", row.price_per_t);
  visit("cap_t_month", row.cap_t_month);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, VarietyRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("variety", row.variety);
  visit("approved_from", row.approved_from);
  visit("approved_to", row.approved_to);
  visit("yield_factor", row.yield_factor);
  visit("n_offset_pct", row.n_offset_pct);
  visit("thermal_factor", row.thermal_factor);
  visit("share_cap", row.share_cap);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, HistoryRow>
void visit_fields(Row& row, Visit&& visit) {
  visit("region", row.region);
  visit("grower", row.grower);
  visit("crop_year", row.crop_year);
  visit("variety", row.variety);
  visit("planted_ha", row.planted_ha);
  visit("delivered_t", row.delivered_t);
  visit("qualifying_t", row.qualifying_t);
  visit("n_pct", row.n_pct);
  visit("n_basis", row.n_basis);
  visit("limit_n_pct", row.limit_n_pct);
  visit("screenings_pct", row.screenings_pct);
  visit("moisture_pct", row.moisture_pct);
  visit("sown", row.sown);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, ShareLimit>
void visit_fields(Row& row, Visit&& visit) {
  visit("origin", row.origin);
  visit("line", row.line);
  visit("max_share", row.max_share);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, SeasonPatch>
void visit_fields(Row& row, Visit&& visit) {
  visit("name", row.name);
  visit("rain_factor", row.rain_factor);
  visit("temperature_shift_c", row.temperature_shift_c);
  visit("yield_factor", row.yield_factor);
  visit("n_shift_pct", row.n_shift_pct);
  visit("other_failure_pct", row.other_failure_pct);
  visit("limit_n_pct", row.limit_n_pct);
  visit("stop_n_pct", row.stop_n_pct);
  visit("floor_n_pct", row.floor_n_pct);
  visit("sowing_shift_days", row.sowing_shift_days);
  visit("demand_factor", row.demand_factor);
  visit("regions_lost", row.regions_lost);
  visit("backups_lost", row.backups_lost);
  visit("years", row.years);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, RasterSource>
void visit_fields(Row& row, Visit&& visit) {
  visit("path", row.path);
  visit("variable", row.variable);
  visit("crs", row.crs);
  visit("unit", row.unit);
  visit("calendar", row.calendar);
  visit("dates", row.dates);
  visit("fill", row.fill);
  visit("scale", row.scale);
  visit("offset", row.offset);
  visit("step", row.step);
}

template <class Row, class Visit>
requires std::is_same_v<std::remove_const_t<Row>, UniformSoil>
void visit_fields(Row& row, Visit&& visit) {
  visit("sand_pct", row.sand_pct);
  visit("clay_pct", row.clay_pct);
  visit("organic_matter_pct", row.organic_matter_pct);
  visit("stones_pct", row.stones_pct);
  visit("root_depth_m", row.root_depth_m);
}

/// The keys of season.toml that are single values, by dotted name; [tables], [rasters], [soil], [parameters],
/// [closing], [[share_limit]] and [[case]] are read apart.
template <class S, class Visit>
requires std::is_same_v<std::remove_const_t<S>, Season>
void visit_keys(S& season, Visit&& visit) {
  visit("crop_year", season.crop_year);
  visit("as_of", season.as_of);
  visit("currency", season.currency);
  visit("seed", season.seed);
  visit("model", season.model);
  visit("plan_from", season.plan_from);
  visit("plan_to", season.plan_to);
  visit("season_start", season.season_start);
  visit("season_end", season.season_end);
  visit("start", season.start);
  visit("note", season.note);
  visit("diurnal_range_c", season.diurnal_range_c);
  visit("spec.limit_n_pct", season.spec.limit_n_pct);
  visit("spec.stop_n_pct", season.spec.stop_n_pct);
  visit("spec.floor_n_pct", season.spec.floor_n_pct);
  visit("spec.limit_policy", season.spec.limit_policy);
  visit("spec.limit_max", season.spec.limit_max);
  visit("spec.screenings_max_pct", season.spec.screenings_max_pct);
  visit("spec.germination_min_pct", season.spec.germination_min_pct);
  visit("regions.path", season.regions.path);
  visit("regions.id", season.regions.id);
  visit("regions.layer", season.regions.layer);
  visit("regions.name", season.regions.name);
  visit("regions.crs", season.regions.crs);
  visit("outlook.dry", season.outlook.dry);
  visit("outlook.normal", season.outlook.normal);
  visit("outlook.wet", season.outlook.wet);
  visit("risk.lambda", season.risk.lambda);
  visit("risk.alpha", season.risk.alpha);
  visit("risk.p", season.risk.p);
  visit("risk.unmet_max_t", season.risk.unmet_max_t);
  visit("risk.co2e_max_t", season.risk.co2e_max_t);
  visit("risk.unmet_price", season.risk.unmet_price);
}

/// Calls visit("contracts", season.contracts) and so on for the ten tables.
template <class S, class Visit>
requires std::is_same_v<std::remove_const_t<S>, Season>
void visit_tables(S& season, Visit&& visit) {
  visit("contracts", season.contracts);
  visit("backups", season.backups);
  visit("demand", season.demand);
  visit("stock", season.stock);
  visit("stores", season.stores);
  visit("maltings", season.maltings);
  visit("prices", season.prices);
  visit("outlets", season.outlets);
  visit("varieties", season.varieties);
  visit("history", season.history);
}

}  // namespace rickyard
