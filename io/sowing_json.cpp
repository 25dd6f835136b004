#include "io/sowing_json.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "io/rounding.h"

namespace rickyard {
namespace {

using Json = nlohmann::ordered_json;

Json number(double value, const char* what, int decimals = kFigureDecimals) {
  if (!std::isfinite(value)) throw std::logic_error(std::string("sowing document: ") + what + " is not a finite number");
  return rounded(value, decimals);
}
Json fraction(double value, const char* what) { return number(value, what, kFractionDecimals); }
Json date(const Date& day) {
  if (day.is_special()) throw std::logic_error("sowing document: a date is missing");
  return to_text(day);
}
Json date(const std::optional<Date>& day) { return day ? date(*day) : Json(nullptr); }

// Four nulls where nothing is defined.
Json range(const Range& r, const char* what, int decimals = kFigureDecimals) {
  if (std::isnan(r.mean)) return {{"mean", nullptr}, {"p10", nullptr}, {"p50", nullptr}, {"p90", nullptr}};
  return {{"mean", number(r.mean, what, decimals)},
          {"p10", number(r.p10, what, decimals)},
          {"p50", number(r.p50, what, decimals)},
          {"p90", number(r.p90, what, decimals)}};
}
Json range(const std::optional<Range>& r, const char* what) { return r ? range(*r, what) : Json(nullptr); }
Json dates(const DateSpread& r) { return {{"p10", date(r.p10)}, {"p50", date(r.p50)}, {"p90", date(r.p90)}}; }

template <class T, class Make>
Json list_of(const std::vector<T>& items, Make make) {
  Json list = Json::array();
  for (const auto& item : items) list.push_back(make(item));
  return list;
}

Json spring_json(const SpringOutlook& s) {
  return {{"rule", s.rule},
          {"from", date(s.from)},
          {"count_to", date(s.count_to)},
          {"first_workable", dates(s.first_workable)},
          {"never_share", fraction(s.never_share, "never_share")},
          {"workable_days", range(s.workable_days, "workable_days")},
          {"half_sown", dates(s.half_sown)},
          {"nine_tenths_sown", dates(s.nine_tenths_sown)},
          {"progress", list_of(s.progress,
                               [](const DrillingPoint& p) -> Json {
                                 return {{"date", date(p.date)},
                                         {"slow", fraction(p.slow, "progress")},
                                         {"middle", fraction(p.middle, "progress")},
                                         {"fast", fraction(p.fast, "progress")}};
                               })},
          {"by_year", list_of(s.years, [](const SpringYear& y) -> Json {
             return {{"year", y.year},
                     {"first_workable", date(y.first_workable)},
                     {"half_sown", date(y.half_sown)},
                     {"workable_days", number(y.workable_days, "workable_days")}};
           })}};
}

Json result_json(const SowingResult& r) {
  return {{"sown", dates(r.sown)},
          {"heading", dates(r.heading)},
          {"ripe", dates(r.ripe)},
          {"harvested", dates(r.harvested)},
          {"wet_seedbed_share", fraction(r.wet_seedbed_share, "wet_seedbed_share")},
          {"yield_t_ha", range(r.yield_t_ha, "yield_t_ha")},
          {"n_pct", range(r.n_pct, "n_pct")},
          {"screenings_pct", range(r.screenings_pct, "screenings_pct")},
          {"n_share", range(r.n_share, "n_share", kFractionDecimals)},
          {"qualifying_share", range(r.qualifying_share, "qualifying_share", kFractionDecimals)},
          {"qualifying_t_ha", range(r.qualifying_t_ha, "qualifying_t_ha")},
          {"combine_days", range(r.combine_days, "combine_days")},
          {"wet_days", range(r.wet_days, "wet_days")},
          {"moisture_pct", range(r.moisture_pct, "moisture_pct")},
          {"late_share", fraction(r.late_share, "late_share")},
          {"late_failure_points", number(r.late_failure_points, "late_failure_points")},
          {"qualifying_t_ha_by_year", list_of(r.qualifying_t_ha_by_year, [](double t) { return number(t, "qualifying_t_ha_by_year"); })}};
}

Json change_json(const SowingChange& c) {
  return {{"yield_pct", number(c.yield_pct, "yield_pct")},
          {"n_pct", number(c.n_pct, "n_pct")},
          {"n_share", fraction(c.n_share, "n_share")},
          {"qualifying_share", fraction(c.qualifying_share, "qualifying_share")},
          {"qualifying_t_ha", number(c.qualifying_t_ha, "qualifying_t_ha")}};
}

Json date_json(const SowingDate& d) {
  return {{"date", date(d.date)},
          {"planned", d.planned},
          {"past", d.past},
          {"workable_days_to_next", d.workable_days_to_next ? number(*d.workable_days_to_next, "workable_days_to_next") : Json(nullptr)},
          {"workable_days_left", range(d.workable_days_left, "workable_days_left")},
          {"wait", result_json(d.wait)},
          {"at_once", result_json(d.at_once)},
          {"against_planned", change_json(d.against_planned)},
          {"cost_of_not_waiting", change_json(d.cost_of_not_waiting)},
          {"next_week", d.next_week ? change_json(*d.next_week) : Json(nullptr)}};
}

Json last_json(const LastSensible& l) {
  return {{"date", date(l.date)},
          {"best", date(l.best)},
          {"share_of_best", fraction(l.share_of_best, "share_of_best")},
          {"beyond", l.beyond},
          {"reason", l.reason}};
}

Json known_json(const KnownSoFar& k) {
  return {{"through", date(k.through)},
          {"yield_before_t_ha", range(k.yield_before_t_ha, "yield_before_t_ha")},
          {"yield_now_t_ha", range(k.yield_now_t_ha, "yield_now_t_ha")},
          {"qualifying_before_t_ha", range(k.qualifying_before_t_ha, "qualifying_before_t_ha")},
          {"qualifying_now_t_ha", range(k.qualifying_now_t_ha, "qualifying_now_t_ha")},
          {"narrower", k.narrower},
          {"words", k.words}};
}

Json effect_json(const RateEffect& e) {
  return {{"n_pct", std::isnan(e.n_pct) ? Json(nullptr) : number(e.n_pct, "n_pct")},
          {"n_share", fraction(e.n_share, "n_share")},
          {"qualifying_share", fraction(e.qualifying_share, "qualifying_share")},
          {"accepted_t_ha", number(e.accepted_t_ha, "accepted_t_ha")}};
}

Json rate_json(const RateWhatIf& w) {
  return {{"words", w.words},
          {"n_rate_kg_ha", number(w.n_rate_kg_ha, "n_rate_kg_ha")},
          {"kg_per_tenth", number(w.kg_per_tenth, "kg_per_tenth")},
          {"kg_per_tenth_strong", number(w.kg_per_tenth_strong, "kg_per_tenth_strong")},
          {"kg_per_tenth_weak", number(w.kg_per_tenth_weak, "kg_per_tenth_weak")},
          {"kg_per_t", number(w.kg_per_t, "kg_per_t")},
          {"most_accepted_at_kg_ha",
           {{"middle", number(w.best_middle_kg_ha, "best_middle_kg_ha")},
            {"strong", number(w.best_strong_kg_ha, "best_strong_kg_ha")},
            {"weak", number(w.best_weak_kg_ha, "best_weak_kg_ha")}}},
          {"rates", list_of(w.rows, [](const RateRow& r) -> Json {
             return {{"n_rate_kg_ha", number(r.n_rate_kg_ha, "n_rate_kg_ha")},
                     {"change_kg_ha", number(r.change_kg_ha, "change_kg_ha")},
                     {"yield_t_ha", number(r.yield_t_ha, "yield_t_ha")},
                     {"at_table_end", r.at_table_end},
                     {"middle", effect_json(r.middle)},
                     {"strong", effect_json(r.strong)},
                     {"weak", effect_json(r.weak)}};
           })}};
}

Json place_json(const SowingAdvice& a) {
  return {{"region", a.region},
          {"name", a.name},
          {"contract", a.contract},
          {"origin", a.origin},
          {"at", a.at ? Json{{"lon", number((*a.at)[0], "lon")}, {"lat", number((*a.at)[1], "lat")}} : Json(nullptr)},
          {"sow_earliest", date(a.sow_earliest)},
          {"sow_planned", date(a.sow_planned)},
          {"sow_latest", date(a.sow_latest)},
          {"sown", date(a.sown)},
          {"stated_yield_t_ha", number(a.stated_yield_t_ha, "stated_yield_t_ha")},
          {"yield_basis", a.yield_basis},
          {"field_yield_t_ha", number(a.field_yield_t_ha, "field_yield_t_ha")},
          {"spring", a.spring ? spring_json(*a.spring) : Json(nullptr)},
          {"dates", list_of(a.dates, date_json)},
          {"last_sensible", a.last_sensible ? last_json(*a.last_sensible) : Json(nullptr)},
          {"known", a.known ? known_json(*a.known) : Json(nullptr)},
          {"n_rate", rate_json(a.n_rate)},
          {"drivers", a.drivers},
          {"notes", a.notes}};
}

Json season_json(const SowingDocument::SeasonBlock& s) {
  return {{"crop_year", s.crop_year},
          {"as_of", date(s.as_of)},
          {"limit_n_pct", number(s.limit_n_pct, "limit_n_pct")},
          {"stop_n_pct", number(s.stop_n_pct, "stop_n_pct")},
          {"floor_n_pct", s.floor_n_pct ? number(*s.floor_n_pct, "floor_n_pct") : Json(nullptr)},
          {"screenings_max_pct", number(s.screenings_max_pct, "screenings_max_pct")},
          {"model", s.model}};
}

}  // namespace

std::string sowing_json(const SowingDocument& d) {
  Json json = {{"rickyard", {{"version", d.version}, {"schema", kSowingSchema}}}};
  json["season"] = season_json(d.season);
  json["years"] = list_of(d.years, [](const SowingDocument::Year& y) -> Json {
    return {{"year", y.year}, {"weight", fraction(y.weight, "weight")}};
  });
  json["sowing"] = list_of(d.sowing, place_json);
  json["harvest_rule"] = d.harvest_rule;
  json["warnings"] = d.warnings;
  json["cautions"] = d.cautions;
  json["assumptions"] = list_of(d.assumptions, [](const PlanDocument::Assumption& a) -> Json {
    return {{"name", a.name}, {"value", a.value}, {"unit", a.unit}, {"status", a.status}, {"source", a.source}};
  });
  json["inputs"] = list_of(d.inputs, [](const PlanDocument::Input& i) -> Json {
    return {{"path", i.path}, {"sha256", i.sha256}, {"role", i.role}};
  });
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rickyard
