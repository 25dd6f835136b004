#include "io/plan_json.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "io/rounding.h"

namespace rickyard {
namespace {

using Json = nlohmann::ordered_json;

// Where we are in the document; turned into text only when something is wrong there.
struct Place {
  const Place* up = nullptr;
  const char* key = "";
  long long index = -1;

  Place operator/(const char* child) const { return {this, child, -1}; }
  Place operator[](std::size_t i) const { return {this, "", static_cast<long long>(i)}; }
  std::string text() const {
    const std::string before = up ? up->text() : "";
    if (index >= 0) return before + "[" + std::to_string(index) + "]";
    return before.empty() ? std::string(key) : before + "." + key;
  }
};

[[noreturn]] void wrong(const Place& at, const char* what) { throw std::logic_error("plan document: " + at.text() + " " + what); }

Json number(double value, const Place& at, int decimals = kFigureDecimals) {
  if (!std::isfinite(value)) wrong(at, "is not a finite number");
  return rounded(value, decimals);
}
Json fraction(double value, const Place& at) { return number(value, at, kFractionDecimals); }
// NaN stands for undefined where the document says that it may.
Json number_or_null(double value, const Place& at) { return std::isnan(value) ? Json(nullptr) : number(value, at); }
Json number_or_null(const std::optional<double>& value, const Place& at) { return value ? number(*value, at) : Json(nullptr); }

Json numbers(const std::vector<double>& values, const Place& at) {
  Json list = Json::array();
  for (std::size_t i = 0; i < values.size(); ++i) list.push_back(number(values[i], at[i]));
  return list;
}

enum class Undefined { refuse, allow };

// `allow`: a range in which nothing is defined is four NaN in the document and four nulls here.
Json range(const Range& r, const Place& at, int decimals = kFigureDecimals, Undefined undefined = Undefined::refuse) {
  if (undefined == Undefined::allow && std::isnan(r.mean) && std::isnan(r.p10) && std::isnan(r.p50) && std::isnan(r.p90))
    return {{"mean", nullptr}, {"p10", nullptr}, {"p50", nullptr}, {"p90", nullptr}};
  return {{"mean", number(r.mean, at / "mean", decimals)},
          {"p10", number(r.p10, at / "p10", decimals)},
          {"p50", number(r.p50, at / "p50", decimals)},
          {"p90", number(r.p90, at / "p90", decimals)}};
}

Json date(const Date& day, const Place& at) {
  if (day.is_special()) wrong(at, "is not a date");
  return to_text(day);
}
Json date(const std::optional<Date>& day, const Place& at) { return day ? date(*day, at) : Json(nullptr); }
Json dates(const DateRange& r, const Place& at) {
  return {{"p10", date(r.p10, at / "p10")}, {"p50", date(r.p50, at / "p50")}, {"p90", date(r.p90, at / "p90")}};
}

// A list built one element at a time, each told its place.
template <class T, class Make>
Json list_of(const std::vector<T>& items, const Place& at, Make make) {
  Json list = Json::array();
  for (std::size_t i = 0; i < items.size(); ++i) list.push_back(make(items[i], at[i]));
  return list;
}

Json season_json(const PlanDocument::SeasonBlock& s, const Place& at) {
  Json json = {{"crop_year", s.crop_year},
               {"as_of", date(s.as_of, at / "as_of")},
               {"case", s.case_name},
               {"limit_n_pct", number(s.limit_n_pct, at / "limit_n_pct")},
               {"stop_n_pct", number(s.stop_n_pct, at / "stop_n_pct")},
               {"limit_policy", s.limit_policy},
               {"seed", s.seed},
               {"currency", s.currency},
               {"model", s.model}};
  if (s.weather_known_through) json["weather_known_through"] = date(*s.weather_known_through, at / "weather_known_through");
  return json;
}

Json horizon_json(const PlanDocument::Horizon& h, const Place& at) {
  return {{"first_month", to_text(h.first_month)},
          {"last_month", to_text(h.last_month)},
          {"intake_closed", date(h.intake_closed, at / "intake_closed")}};
}

Json year_json(const PlanDocument::WeatherYear& y, const Place& at) {
  return {{"year", y.year},
          {"weight", fraction(y.weight, at / "weight")},
          {"rain_mm", y.rain_mm ? number(*y.rain_mm, at / "rain_mm") : Json(nullptr)},
          {"rain_apr_jul_mm", y.rain_apr_jul_mm ? number(*y.rain_apr_jul_mm, at / "rain_apr_jul_mm") : Json(nullptr)},
          {"kind", y.kind}};
}

Json causes_json(const PlanDocument::CauseTonnes& c, const Place& at) {
  return {{"attainable_t", number(c.attainable, at / "attainable_t")},
          {"sowing_t", number(c.sowing, at / "sowing_t")},
          {"water_t", number(c.water, at / "water_t")},
          {"waterlogging_t", number(c.waterlogging, at / "waterlogging_t")},
          {"frost_t", number(c.frost, at / "frost_t")},
          {"heat_t", number(c.heat, at / "heat_t")},
          {"harvest_t", number(c.harvest, at / "harvest_t")},
          {"nitrogen_t", number(c.nitrogen, at / "nitrogen_t")},
          {"screenings_t", number(c.screenings, at / "screenings_t")},
          {"germination_t", number(c.germination, at / "germination_t")},
          {"other_t", number(c.other, at / "other_t")},
          {"qualifying_t", number(c.qualifying, at / "qualifying_t")}};
}

Json harvest_weather_json(const PlanDocument::HarvestWeather& h, const Place& at) {
  const auto or_null = [&](const std::optional<double>& value, const char* key, int decimals = kFigureDecimals) {
    return value ? number(*value, at / key, decimals) : Json(nullptr);
  };
  return {{"moisture_pct", or_null(h.moisture_pct, "moisture_pct")},
          {"combine_days", or_null(h.combine_days, "combine_days")},
          {"wet_days", or_null(h.wet_days, "wet_days")},
          {"late_share", or_null(h.late_share, "late_share", kFractionDecimals)}};
}

Json region_year_json(const PlanDocument::RegionYear& y, const Place& at) {
  return {{"year", y.year},
          {"yield_t_ha", number(y.yield_t_ha, at / "yield_t_ha")},
          {"n_pct", number_or_null(y.n_pct, at / "n_pct")},
          {"screenings_pct", number_or_null(y.screenings_pct, at / "screenings_pct")},
          {"qualifying_share", fraction(y.qualifying_share, at / "qualifying_share")},
          {"offered_t", number(y.offered_t, at / "offered_t")},
          {"qualifying_t", number(y.qualifying_t, at / "qualifying_t")},
          {"sown", date(y.sown, at / "sown")},
          {"ripe", date(y.ripe, at / "ripe")},
          {"harvested", date(y.harvested, at / "harvested")},
          {"harvest_weather", harvest_weather_json(y.harvest_weather, at / "harvest_weather")},
          {"causes", causes_json(y.causes, at / "causes")},
          {"drivers", y.drivers}};
}

Json region_json(const PlanDocument::RegionBlock& r, const Place& at) {
  const Place causes = at / "rejected_by_cause_t", losses = at / "loss_t_ha";
  return {{"region", r.region},
          {"name", r.name},
          {"origin", r.origin},
          {"planted_ha", number(r.planted_ha, at / "planted_ha")},
          {"harvested_ha", number(r.harvested_ha, at / "harvested_ha")},
          {"suitability", r.suitability},
          {"yield_t_ha", range(r.yield_t_ha, at / "yield_t_ha")},
          {"n_pct", range(r.n_pct, at / "n_pct", kFigureDecimals, Undefined::allow)},
          {"n_accepted_pct", range(r.n_accepted_pct, at / "n_accepted_pct", kFigureDecimals, Undefined::allow)},
          {"screenings_pct", range(r.screenings_pct, at / "screenings_pct", kFigureDecimals, Undefined::allow)},
          {"qualifying_share", range(r.qualifying_share, at / "qualifying_share", kFractionDecimals)},
          {"offered_t", range(r.offered_t, at / "offered_t")},
          {"qualifying_t", range(r.qualifying_t, at / "qualifying_t")},
          {"with_claim_t", range(r.with_claim_t, at / "with_claim_t")},
          {"rejected_t", range(r.rejected_t, at / "rejected_t")},
          {"rejected_by_cause_t",
           {{"nitrogen", number(r.rejected_by_cause_t.nitrogen, causes / "nitrogen")},
            {"screenings", number(r.rejected_by_cause_t.screenings, causes / "screenings")},
            {"germination", number(r.rejected_by_cause_t.germination, causes / "germination")},
            {"other", number(r.rejected_by_cause_t.other, causes / "other")}}},
          {"sown", dates(r.sown, at / "sown")},
          {"heading", dates(r.heading, at / "heading")},
          {"ripe", dates(r.ripe, at / "ripe")},
          {"harvested", dates(r.harvested, at / "harvested")},
          {"loss_t_ha",
           {{"sowing", number(r.loss_t_ha.sowing, losses / "sowing")},
            {"water", number(r.loss_t_ha.water, losses / "water")},
            {"waterlogging", number(r.loss_t_ha.waterlogging, losses / "waterlogging")},
            {"frost", number(r.loss_t_ha.frost, losses / "frost")},
            {"heat", number(r.loss_t_ha.heat, losses / "heat")},
            {"harvest", number(r.loss_t_ha.harvest, losses / "harvest")}}},
          {"harvest_weather", harvest_weather_json(r.harvest_weather, at / "harvest_weather")},
          {"causes", causes_json(r.causes, at / "causes")},
          {"drivers", r.drivers},
          {"by_year", list_of(r.by_year, at / "by_year", region_year_json)}};
}

Json contract_json(const PlanDocument::ContractBlock& c, const Place& at) {
  Json json = {{"contract", c.contract},
               {"file", c.file},
               {"row", c.row},
               {"region", c.region},
               {"form", c.form},
               {"signed", c.is_signed},
               {"amount", number(c.amount, at / "amount")},
               {"unit", c.unit},
               {"proposed", number(c.proposed, at / "proposed")},
               {"delivered_t", range(c.delivered_t, at / "delivered_t")},
               {"accepted_t", range(c.accepted_t, at / "accepted_t")},
               {"made_good_t", range(c.made_good_t, at / "made_good_t")},
               {"cost", range(c.cost, at / "cost")}};
  if (c.one_more)
    json["one_more"] = {{"unit", c.one_more->unit},
                        {"value", number_or_null(c.one_more->value, at / "one_more")},
                        {"less_costs", number_or_null(c.one_more->less_costs, at / "one_more")}};
  return json;
}

Json supply_json(const PlanDocument::Supply& s, const Place& at) {
  const auto interval = [](const PlanDocument::Interval& i, const Place& here) {
    return Json::array({number_or_null(i.lo, here[0]), number_or_null(i.hi, here[1])});
  };
  const Place sampling = at / "sampling";
  return {{"qualifying_t", range(s.qualifying_t, at / "qualifying_t")},
          {"by_year", list_of(s.by_year, at / "by_year",
                              [](const PlanDocument::YearTonnes& y, const Place& here) {
                                return Json{{"year", y.year}, {"qualifying_t", number(y.qualifying_t, here / "qualifying_t")}};
                              })},
          {"if_regions_were_independent", range(s.if_regions_were_independent, at / "if_regions_were_independent")},
          {"one_in_twenty",
           {{"t", number(s.one_in_twenty_t, at / "one_in_twenty")},
            {"if_regions_were_independent_t", number(s.one_in_twenty_if_independent_t, at / "one_in_twenty")}}},
          {"sampling",
           {{"p10", interval(s.sampling_p10, sampling / "p10")},
            {"p50", interval(s.sampling_p50, sampling / "p50")},
            {"p90", interval(s.sampling_p90, sampling / "p90")}}}};
}

Json need_json(const PlanDocument::Need& n, const Place& at) {
  return {{"spirit_lpa", number(n.spirit_lpa, at / "spirit_lpa")},
          {"malt_t", number(n.malt_t, at / "malt_t")},
          {"barley_t", number(n.barley_t, at / "barley_t")},
          {"steps", list_of(n.steps, at / "steps",
                            [](const PlanDocument::NeedStep& s, const Place& here) {
                              return Json{{"name", s.name}, {"factor", fraction(s.factor, here / "factor")}, {"status", s.status}};
                            })},
          {"by_month", list_of(n.by_month, at / "by_month", [](const PlanDocument::NeedMonth& m, const Place& here) {
             return Json{{"month", to_text(m.month)}, {"line", m.line}, {"need_t", number(m.need_t, here / "need_t")}};
           })}};
}

Json cover_json(const PlanDocument::Cover& c, const Place& at) {
  const Place first = at / "first_unmet_month";
  Json months = Json::object();
  for (const auto& entry : c.first_unmet_month) {
    const std::string month = to_text(entry.month);
    if (months.contains(month)) wrong(first, "names a month twice");
    months[month] = fraction(entry.probability, first / month.c_str());
  }
  months["never"] = fraction(c.never, first / "never");
  return {{"backup_t", range(c.backup_t, at / "backup_t")},
          {"unmet_t", range(c.unmet_t, at / "unmet_t")},
          {"surplus_t", range(c.surplus_t, at / "surplus_t")},
          {"chance_covered", fraction(c.chance_covered, at / "chance_covered")},
          {"by_month", list_of(c.by_month, at / "by_month",
                               [](const PlanDocument::MonthChance& m, const Place& here) {
                                 return Json{{"month", to_text(m.month)},
                                             {"need_t", number(m.need_t, here / "need_t")},
                                             {"chance_met", fraction(m.chance_met, here / "chance_met")},
                                             {"chance_met_until", fraction(m.chance_met_until, here / "chance_met_until")}};
                               })},
          {"first_unmet_month", months}};
}

Json decision_json(const PlanDocument::Decision& d, const Place& at) {
  return {{"what", d.what},   {"source", d.source}, {"by", date(d.by, at / "by")}, {"t", number(d.t, at / "t")},
          {"stage", d.stage}, {"if_not", d.if_not}};
}

Json purchase_json(const PlanDocument::PurchaseBlock& p, const Place& at) {
  return {{"source", p.source},
          {"origin", p.origin},
          {"stage", p.stage},
          {"t", range(p.t, at / "t")},
          {"price", range(p.price, at / "price", kFigureDecimals, Undefined::allow)}};
}

Json blend_json(const PlanDocument::Blend& b, const Place& at) {
  return {{"origin", b.origin},
          {"source", b.source},
          {"crop_year", b.crop_year},
          {"t", range(b.t, at / "t")},
          {"t_equiv", range(b.t_equiv, at / "t_equiv")},
          {"share", range(b.share, at / "share", kFractionDecimals, Undefined::allow)},
          {"by_year_t", numbers(b.by_year_t, at / "by_year_t")}};
}

Json month_json(const PlanDocument::MonthBlock& m, const Place& at) {
  return {{"month", to_text(m.month)},
          {"line", m.line},
          {"need_t", number(m.need_t, at / "need_t")},
          {"unmet_t", range(m.unmet_t, at / "unmet_t")},
          {"unmet_by_year_t", numbers(m.unmet_by_year_t, at / "unmet_by_year_t")},
          {"n_pct", range(m.n_pct, at / "n_pct", kFigureDecimals, Undefined::allow)},
          {"blend", list_of(m.blend, at / "blend", blend_json)}};
}

Json stock_json(const PlanDocument::StockBlock& s, const Place& at) {
  return {{"month", to_text(s.month)},
          {"origin", s.origin},
          {"crop_year", s.crop_year},
          {"opening_t", range(s.opening_t, at / "opening_t")},
          {"arrivals_t", range(s.arrivals_t, at / "arrivals_t")},
          {"used_t", range(s.used_t, at / "used_t")},
          {"lost_t", range(s.lost_t, at / "lost_t")},
          {"sold_t", range(s.sold_t, at / "sold_t")},
          {"closing_t", range(s.closing_t, at / "closing_t")}};
}

Json cost_json(const PlanDocument::CostBlock& c, const Place& at) {
  const Place parts = at / "parts";
  Json json = {{"total", range(c.total, at / "total")},
               {"lambda", number(c.lambda, at / "lambda")},
               {"alpha", number(c.alpha, at / "alpha")},
               {"cvar", number(c.cvar, at / "cvar")},
               {"parts",
                {{"contracts", range(c.contracts, parts / "contracts")},
                 {"purchases", range(c.purchases, parts / "purchases")},
                 {"freight", range(c.freight, parts / "freight")},
                 {"options", range(c.options, parts / "options")},
                 {"storage", range(c.storage, parts / "storage")},
                 {"interest", range(c.interest, parts / "interest")},
                 {"claims", range(c.claims, parts / "claims")},
                 {"rejects", range(c.rejects, parts / "rejects")},
                 {"unmet", range(c.unmet, parts / "unmet")},
                 {"outlets", range(c.outlets, parts / "outlets")}}}};
  if (c.value_of_stochastic_solution)
    json["value_of_stochastic_solution"] = number(*c.value_of_stochastic_solution, at / "value_of_stochastic_solution");
  if (c.value_of_perfect_information)
    json["value_of_perfect_information"] = number(*c.value_of_perfect_information, at / "value_of_perfect_information");
  return json;
}

Json store_json(const PlanDocument::Store& s, const Place& at) {
  return {{"capacity_t", number_or_null(s.capacity_t, at / "capacity_t")},
          {"chance_full", fraction(s.chance_full, at / "chance_full")},
          {"by_month", list_of(s.by_month, at / "by_month", [](const PlanDocument::StoreMonth& m, const Place& here) {
             return Json{{"month", to_text(m.month)},
                         {"stock_t", range(m.stock_t, here / "stock_t")},
                         {"chance_full", fraction(m.chance_full, here / "chance_full")}};
           })}};
}

Json dependence_json(const PlanDocument::Dependence& d, const Place& at) {
  return {{"largest", list_of(d.largest, at / "largest",
                              [](const PlanDocument::ContractShare& c, const Place& here) {
                                return Json{{"contract", c.contract}, {"share", fraction(c.share, here / "share")}};
                              })},
          {"share", fraction(d.share, at / "share")},
          {"driest_by", d.driest},
          {"share_in_driest_third", fraction(d.share_in_driest, at / "share_in_driest_third")}};
}

Json claim_line_json(const PlanDocument::ClaimLine& c, const Place& at) {
  return {{"line", c.line},
          {"origin_rule", c.origin_rule},
          {"need_t", number(c.need_t, at / "need_t")},
          {"filled_t", range(c.filled_t, at / "filled_t")},
          {"unmet_t", range(c.unmet_t, at / "unmet_t")},
          {"topped_up_t", number(c.topped_up_t, at / "topped_up_t")},
          {"others_filled_while_short_t", number(c.others_filled_while_short_t, at / "others_filled_while_short_t")},
          {"words", c.words}};
}

Json failure_json(const PlanDocument::Failure& f, const Place& at) {
  return {{"chance", fraction(f.chance, at / "chance")},
          {"first_month", f.first_month ? Json(to_text(*f.first_month)) : Json(nullptr)},
          {"unmet_t", number(f.unmet_t, at / "unmet_t")},
          {"unmet_cost", number(f.unmet_cost, at / "unmet_cost")},
          {"source", f.source.empty() ? Json(nullptr) : Json(f.source)},
          {"source_below_t", number(f.source_below_t, at / "source_below_t")},
          {"words", f.words}};
}

Json carbon_json(const PlanDocument::Carbon& c, const Place& at) {
  return {{"total_t_co2e", number(c.total_t_co2e, at / "total_t_co2e")},
          {"tonnes_without_figure", number(c.tonnes_without_figure, at / "tonnes_without_figure")},
          {"by_source", list_of(c.by_source, at / "by_source", [](const PlanDocument::CarbonSource& s, const Place& here) {
             return Json{{"source", s.source},
                         {"kind", s.kind},
                         {"t", number(s.t, here / "t")},
                         {"kg_co2e_per_t", number_or_null(s.kg_co2e_per_t, here / "kg_co2e_per_t")},
                         {"t_co2e", number(s.co2e_t, here / "t_co2e")}};
           })}};
}

Json frontier_json(const DecisionDocument::FrontierPoint& f, const Place& at) {
  return {{"lambda", number(f.lambda, at / "lambda")},
          {"chosen", f.chosen},
          {"expected_cost", number(f.expected_cost, at / "expected_cost")},
          {"cvar", number(f.cvar, at / "cvar")},
          {"chance_covered", fraction(f.chance_covered, at / "chance_covered")},
          {"unmet_t", number(f.unmet_t, at / "unmet_t")},
          {"first_stage",
           {{"contracts", list_of(f.contracts, at / "contracts",
                                  [](const DecisionDocument::Amount& a, const Place& here) {
                                    return Json{{"contract", a.contract}, {"amount", number(a.amount, here / "amount")}, {"unit", a.unit}};
                                  })},
            {"orders", list_of(f.orders, at / "orders", [](const DecisionDocument::Order& o, const Place& here) {
               return Json{{"source", o.source}, {"t", number(o.t, here / "t")}};
             })}}}};
}

Json waiting_json(const DecisionDocument::Waiting& w, const Place& at) {
  return {{"source", w.source},
          {"ordered_now_t", number(w.ordered_now_t, at / "ordered_now_t")},
          {"now_per_t", number(w.now_per_t, at / "now_per_t")},
          {"later_mean_per_t", number_or_null(w.later_mean_per_t, at / "later_mean_per_t")},
          {"later_p90_per_t", number_or_null(w.later_p90_per_t, at / "later_p90_per_t")},
          {"chance_gone", fraction(w.chance_gone, at / "chance_gone")}};
}

Json insurance_json(const DecisionDocument::Insurance& i, const Place& at) {
  const auto pair = [&](double with, double without, const char* key, auto&& written) {
    return Json{{"with_orders", written(with, at / key)}, {"without", i.possible_without ? written(without, at / key) : Json(nullptr)}};
  };
  const auto money = [](double value, const Place& here) { return number(value, here); };
  const auto or_null = [&](double value, const char* key) { return i.possible_without ? number(value, at / key) : Json(nullptr); };
  return {{"possible_without", i.possible_without},
          {"ordered_t", number(i.ordered_t, at / "ordered_t")},
          {"expected_cost", pair(i.expected_cost, i.expected_cost_without, "expected_cost", money)},
          {"cvar", pair(i.cvar, i.cvar_without, "cvar", money)},
          {"chance_covered", pair(i.chance_covered, i.chance_covered_without, "chance_covered", fraction)},
          {"net_cost", or_null(i.net, "net_cost")},
          {"extra_in_other_years", or_null(i.extra_in_other_years, "extra_in_other_years")},
          {"saved_in_bad_years", or_null(i.saved_in_bad_years, "saved_in_bad_years")},
          {"weight_of_bad_years", fraction(i.weight_of_bad_years, at / "weight_of_bad_years")}};
}

Json limit_json(const DecisionDocument::Limit& l, const Place& at) {
  return {{"limit_n_pct", number(l.limit_n_pct, at / "limit_n_pct")},
          {"stop_n_pct", number(l.stop_n_pct, at / "stop_n_pct")},
          {"qualifying_t", range(l.qualifying_t, at / "qualifying_t")},
          {"claims", number(l.claims, at / "claims")},
          {"litres_lost_lpa", number(l.litres_lost_lpa, at / "litres_lost_lpa")},
          {"expected_cost", number(l.expected_cost, at / "expected_cost")},
          {"cvar", number(l.cvar, at / "cvar")},
          {"chance_covered", fraction(l.chance_covered, at / "chance_covered")},
          {"unmet_t", number(l.unmet_t, at / "unmet_t")}};
}

Json price_forms_json(const DecisionDocument::PriceForms& p, const Place& at) {
  return {{"feed_per_t", numbers(p.feed_per_t, at / "feed_per_t")},
          {"contracts", list_of(p.contracts, at / "contracts", [](const DecisionDocument::ContractPrices& c, const Place& here) {
             return Json{{"contract", c.contract},
                         {"form", c.form},
                         {"premium_per_t", number(c.premium_per_t, here / "premium_per_t")},
                         {"floor_per_t", number(c.floor_per_t, here / "floor_per_t")},
                         {"ceiling_per_t", number(c.ceiling_per_t, here / "ceiling_per_t")},
                         {"accepted_t", number(c.accepted_t, here / "accepted_t")},
                         {"fixed_per_t", numbers(c.fixed, here / "fixed_per_t")},
                         {"feed_plus_per_t", numbers(c.feed_plus, here / "feed_plus_per_t")},
                         {"collar_per_t", numbers(c.collar, here / "collar_per_t")}};
           })}};
}

Json lot_choice_json(const DecisionDocument::LotChoice& c, const Place& at) {
  return {{"sources", list_of(c.parts, at / "sources",
                              [](const DecisionDocument::LotPart& p, const Place& here) {
                                return Json{{"source", p.source}, {"t", number(p.t, here / "t")}};
                              })},
          {"short_t", number(c.short_t, at / "short_t")},
          {"over_t", number(c.over_t, at / "over_t")},
          {"grain_cost", number(c.grain_cost, at / "grain_cost")},
          {"resale", number(c.resale, at / "resale")},
          {"short_cost", number(c.short_cost, at / "short_cost")},
          {"cost", number(c.cost, at / "cost")},
          {"dominated", c.dominated}};
}

Json lot_gap_json(const DecisionDocument::LotGap& g, const Place& at) {
  return {{"years", g.years},
          {"qualifying_t", number(g.qualifying_t, at / "qualifying_t")},
          {"committed_t", number(g.committed_t, at / "committed_t")},
          {"gap_t", number(g.gap_t, at / "gap_t")},
          {"choices", list_of(g.choices, at / "choices", lot_choice_json)}};
}

Json hectares_json(const DecisionDocument::Hectares& h, const Place& at) {
  return {{"chance", fraction(h.chance, at / "chance")},
          {"asked_t", number(h.asked_t, at / "asked_t")},
          {"qualifying_t", number(h.qualifying_t, at / "qualifying_t")},
          {"hectares", number(h.hectares, at / "hectares")},
          {"scale", h.scale ? fraction(*h.scale, at / "scale") : Json(nullptr)},
          {"hectares_needed", number_or_null(h.hectares_needed, at / "hectares_needed")},
          {"median_surplus_t", number(h.median_surplus_t, at / "median_surplus_t")},
          {"surplus_cost_per_t", number(h.surplus_cost_per_t, at / "surplus_cost_per_t")},
          {"median_surplus_cost", number(h.median_surplus_cost, at / "median_surplus_cost")}};
}

void add_decision(const DecisionDocument& d, const Place& root, Json& json) {
  json["frontier"] = list_of(d.frontier, root / "frontier", frontier_json);
  json["stability"] = list_of(d.stability, root / "stability", [](const DecisionDocument::Stability& s, const Place& at) {
    return Json{{"contract", s.contract}, {"unit", s.unit}, {"p10", number(s.p10, at / "p10")}, {"p90", number(s.p90, at / "p90")}};
  });
  json["waiting"] = list_of(d.waiting, root / "waiting", waiting_json);
  json["insurance"] = insurance_json(d.insurance, root / "insurance");
  json["limit_ladder"] = list_of(d.limit_ladder, root / "limit_ladder", limit_json);
  json["price_forms"] = price_forms_json(d.price_forms, root / "price_forms");
  json["lots"] = list_of(d.lots, root / "lots", lot_gap_json);
  if (d.hectares_needed) json["hectares_needed"] = hectares_json(*d.hectares_needed, root / "hectares_needed");
}

Json totals_json(const PlanDocument::Totals& t, const Place& at) {
  return {{"need_t", number(t.need_t, at / "need_t")},
          {"opening_stock_t", number(t.opening_stock_t, at / "opening_stock_t")},
          {"unmet_by_year_t", numbers(t.unmet_by_year_t, at / "unmet_by_year_t")},
          {"unmet_by_kind_t", list_of(t.unmet_by_kind_t, at / "unmet_by_kind_t",
                                      [](const PlanDocument::KindUnmet& k, const Place& here) {
                                        return Json{{"kind", k.kind}, {"unmet_t", number(k.unmet_t, here / "unmet_t")}};
                                      })},
          {"blend", list_of(t.blend, at / "blend", [](const PlanDocument::OriginShare& o, const Place& here) {
             return Json{{"origin", o.origin}, {"t", number(o.t, here / "t")}, {"share", fraction(o.share, here / "share")}};
           })}};
}

Json calibration_json(const PlanDocument::CalibrationEntry& c, const Place& at) {
  return {{"name", c.name},
          {"unit", c.unit},
          {"user", number(c.user, at / "user")},
          {"calibrated", number(c.calibrated, at / "calibrated")},
          {"seasons", c.seasons},
          {"standard_error", number(c.standard_error, at / "standard_error")},
          {"moved_by", fraction(c.moved_by, at / "moved_by")},
          {"note", c.note}};
}

Json backtest_json(const PlanDocument::Backtest& b, const Place& at) {
  return {{"kind", b.kind},
          {"of", b.of},
          {"date", b.date},
          {"n", b.n},
          {"hits", b.hits},
          {"hits_interval", b.hits_interval},
          {"bias", number(b.bias, at / "bias")},
          {"crps", number(b.crps, at / "crps")},
          {"crps_five_year_mean", b.crps_five_year_mean ? number(*b.crps_five_year_mean, at / "crps_five_year_mean") : Json(nullptr)},
          {"verdict", b.verdict ? Json(*b.verdict) : Json(nullptr)},
          {"reason", b.reason}};
}

// Coordinates lose what lies under 1e-6 degree; everything else stays.
void round_coordinates(Json& part) {
  if (part.is_number_float()) part = rounded(part.get<double>(), kFigureDecimals);
  if (part.is_structured())
    for (auto& child : part) round_coordinates(child);
}

Json outline_json(const std::string& geojson, const Place& at) {
  if (geojson.empty()) return nullptr;
  Json geometry = Json::parse(geojson, nullptr, false);
  if (geometry.is_discarded() || !geometry.is_object()) wrong(at, "is not a GeoJSON geometry");
  round_coordinates(geometry);
  return geometry;
}

Json map_json(const PlanDocument::MapBlock& map, const Place& at) {
  const Place regions = at / "regions";
  Json features = list_of(map.regions, regions, [](const PlanDocument::MapRegion& r, const Place& here) {
    return Json{{"type", "Feature"},
                {"properties", {{"region", r.region}, {"name", r.name}}},
                {"geometry", outline_json(r.outline_geojson, here / "geometry")}};
  });
  Json cells = list_of(map.cells, at / "cells", [](const PlanDocument::MapCell& c, const Place& here) {
    return Json{{"lon", number(c.lon, here / "lon")},
                {"lat", number(c.lat, here / "lat")},
                {"w", number(c.w, here / "w")},
                {"h", number(c.h, here / "h")},
                {"qualifying_t_ha", number(c.qualifying_t_ha, here / "qualifying_t_ha")}};
  });
  return {
      {"crs", "EPSG:4326"}, {"regions", {{"type", "FeatureCollection"}, {"features", std::move(features)}}}, {"cells", std::move(cells)}};
}

}  // namespace

std::string plan_json(const PlanDocument& d) {
  const Place root;
  Json json = {{"rickyard", {{"version", d.version}, {"schema", kPlanSchema}}}};
  json["season"] = season_json(d.season, root / "season");
  json["horizon"] = horizon_json(d.horizon, root / "horizon");
  json["years"] = list_of(d.years, root / "years", year_json);
  json["regions"] = list_of(d.regions, root / "regions", region_json);
  json["contracts"] = list_of(d.contracts, root / "contracts", contract_json);
  json["supply"] = supply_json(d.supply, root / "supply");
  json["need"] = need_json(d.need, root / "need");
  json["cover"] = cover_json(d.cover, root / "cover");
  json["decisions"] = list_of(d.decisions, root / "decisions", decision_json);
  json["purchases"] = list_of(d.purchases, root / "purchases", purchase_json);
  json["months"] = list_of(d.months, root / "months", month_json);
  json["stock"] = list_of(d.stock, root / "stock", stock_json);
  json["cost"] = cost_json(d.cost, root / "cost");
  json["solution"] = {{"status", d.solution.status}, {"gap", fraction(d.solution.gap, root / "solution" / "gap")}};
  json["store"] = store_json(d.store, root / "store");
  json["dependence"] = dependence_json(d.dependence, root / "dependence");
  json["claim_lines"] = list_of(d.claim_lines, root / "claim_lines", claim_line_json);
  json["failure"] = failure_json(d.failure, root / "failure");
  json["carbon"] = carbon_json(d.carbon, root / "carbon");
  if (d.decision) add_decision(*d.decision, root, json);
  json["totals"] = totals_json(d.totals, root / "totals");
  if (d.map) json["map"] = map_json(*d.map, root / "map");
  json["limit_used"] = list_of(d.limit_used, root / "limit_used", [](const PlanDocument::LimitUsed& l, const Place& at) {
    return Json{{"year", l.year}, {"limit_n_pct", number(l.limit_n_pct, at / "limit_n_pct")}};
  });
  if (d.calibration) json["calibration"] = list_of(*d.calibration, root / "calibration", calibration_json);
  if (d.backtest) json["backtest"] = backtest_json(*d.backtest, root / "backtest");
  json["warnings"] = d.warnings;
  json["cautions"] = d.cautions;
  json["assumptions"] = list_of(d.assumptions, root / "assumptions", [](const PlanDocument::Assumption& a, const Place&) {
    return Json{{"name", a.name}, {"value", a.value}, {"unit", a.unit}, {"status", a.status}, {"source", a.source}};
  });
  json["inputs"] = list_of(d.inputs, root / "inputs", [](const PlanDocument::Input& i, const Place&) {
    return Json{{"path", i.path}, {"sha256", i.sha256}, {"role", i.role}};
  });
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rickyard
