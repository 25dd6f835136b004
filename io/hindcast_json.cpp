#include "io/hindcast_json.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "io/rounding.h"

namespace rickyard {
namespace {

using Json = nlohmann::ordered_json;

Json number(double value, const char* what, int decimals = kFigureDecimals) {
  if (!std::isfinite(value)) throw std::logic_error(std::string("hindcast document: ") + what + " is not a finite number");
  return rounded(value, decimals);
}
Json number(const std::optional<double>& value, const char* what, int decimals = kFigureDecimals) {
  return value ? number(*value, what, decimals) : Json(nullptr);
}

// Four nulls where nothing is defined.
Json range(const Range& r, const char* what) {
  if (std::isnan(r.mean)) return {{"mean", nullptr}, {"p10", nullptr}, {"p50", nullptr}, {"p90", nullptr}};
  return {{"mean", number(r.mean, what)}, {"p10", number(r.p10, what)}, {"p50", number(r.p50, what)}, {"p90", number(r.p90, what)}};
}

Json name_or_null(const std::string& name) { return name.empty() ? Json(nullptr) : Json(name); }
const char* quantity(Quantity of) { return of == Quantity::qualifying ? "qualifying" : "delivered"; }

template <class T, class Make>
Json list_of(const std::vector<T>& items, Make make) {
  Json list = Json::array();
  for (const auto& item : items) list.push_back(make(item));
  return list;
}

Json figure_json(const HindcastFigure& f) {
  const auto* s = f.score ? &*f.score : nullptr;
  return {{"forecast_t", range(f.forecast_t, "forecast_t")},
          {"came_t", number(f.came_t, "came_t")},
          {"five_year_mean_t", number(f.five_year_mean_t, "five_year_mean_t")},
          {"hit", s ? Json(s->hit) : Json(nullptr)},
          {"rank_class", s ? Json(s->rank_class) : Json(nullptr)},
          {"crps", s ? number(s->crps, "crps") : Json(nullptr)},
          {"crps_climatology", s ? number(s->crps_climatology, "crps_climatology") : Json(nullptr)},
          {"crps_five_year_mean", s ? number(s->crps_five_year_mean, "crps_five_year_mean") : Json(nullptr)}};
}

Json row_json(const Hindcast& h, const HindcastRow& r) {
  return {{"year", r.year},
          {"date", h.dates[static_cast<std::size_t>(r.date)].name},
          {"as_of", to_text(r.as_of)},
          {"region", name_or_null(r.region)},
          {"planted_ha", number(r.planted_ha, "planted_ha")},
          {"limit_n_pct", number(r.limit_n_pct, "limit_n_pct")},
          {"delivered", figure_json(r.delivered)},
          {"qualifying", figure_json(r.qualifying)},
          {"n_pct", range(r.n_pct, "n_pct")},
          {"came_n_pct", number(r.came_n_pct, "came_n_pct")},
          {"field_t", number(r.field_t, "field_t")},
          {"intake_t", number(r.intake_t, "intake_t")},
          {"lost_to", name_or_null(r.lost_to)}};
}

// A self-test has scores and no verdict.
Json scores_json(const Scores& s, bool judged) {
  return {{"n", s.n},
          {"hits", s.hits},
          {"hits_interval", {s.band.low, s.band.high}},
          {"hits_interval_probability", number(s.band.probability, "hits_interval_probability", kFractionDecimals)},
          {"bias", number(s.bias, "bias")},
          {"mean_came", number(s.mean_observed, "mean_came")},
          {"rmse", number(s.rmse, "rmse")},
          {"crps", number(s.crps, "crps")},
          {"compared", s.compared},
          {"rmse_climatology", number(s.rmse_climatology, "rmse_climatology")},
          {"rmse_five_year_mean", number(s.rmse_five_year_mean, "rmse_five_year_mean")},
          {"crps_climatology", number(s.crps_climatology, "crps_climatology")},
          {"crps_five_year_mean", number(s.crps_five_year_mean, "crps_five_year_mean")},
          {"crpss_climatology", number(s.crpss_climatology, "crpss_climatology", kFractionDecimals)},
          {"crpss_five_year_mean", number(s.crpss_five_year_mean, "crpss_five_year_mean", kFractionDecimals)},
          {"crps_difference",
           {{"mean", number(s.gain, "crps_difference")},
            {"low", number(s.gain_low, "crps_difference")},
            {"high", number(s.gain_high, "crps_difference")}}},
          {"rank_histogram", s.rank_histogram},
          {"verdict", judged ? Json(verdict_words(s.verdict)) : Json(nullptr)},
          {"reason", s.reason}};
}

Json backtest_json(const PlanDocument::Backtest& b) {
  return {{"kind", b.kind},
          {"of", b.of},
          {"date", b.date},
          {"n", b.n},
          {"hits", b.hits},
          {"hits_interval", b.hits_interval},
          {"bias", number(b.bias, "bias")},
          {"crps", number(b.crps, "crps")},
          {"crps_five_year_mean", number(b.crps_five_year_mean, "crps_five_year_mean")},
          {"verdict", b.verdict ? Json(*b.verdict) : Json(nullptr)},
          {"reason", b.reason}};
}

Json hindcast_block(const Hindcast& h) {
  const bool judged = h.kind == HindcastKind::deliveries;
  const auto date = [&](int index) { return h.dates[static_cast<std::size_t>(index)].name; };
  return {{"dates", list_of(h.dates,
                            [](const HindcastDate& d) -> Json {
                              return {{"name", d.name}, {"day", to_text(d.day)}};
                            })},
          {"years", h.years},
          {"regions", h.regions},
          {"land_units", {{"grown", h.units}, {"of", h.units_of_land}}},
          {"rows", list_of(h.rows, [&](const HindcastRow& r) { return row_json(h, r); })},
          {"scores", list_of(h.scores,
                             [&](const HindcastScores& s) -> Json {
                               return {{"date", date(s.date)},
                                       {"region", name_or_null(s.region)},
                                       {"of", quantity(s.of)},
                                       {"scores", scores_json(s.scores, judged)}};
                             })},
          {"growers", list_of(h.growers,
                              [&](const GrowerRow& r) -> Json {
                                return {{"region", r.region},
                                        {"grower", r.grower},
                                        {"year", r.year},
                                        {"date", date(r.date)},
                                        {"planted_ha", number(r.planted_ha, "planted_ha")},
                                        {"delivered", figure_json(r.delivered)}};
                              })},
          {"grower_scores", list_of(h.grower_scores, [&](const GrowerScores& s) -> Json {
             return {{"region", s.region}, {"grower", s.grower}, {"date", date(s.date)}, {"scores", scores_json(s.scores, judged)}};
           })}};
}

}  // namespace

std::string hindcast_json(const HindcastDocument& d) {
  Json json = {{"rickyard", {{"version", d.version}, {"schema", kHindcastSchema}}}};
  json["season"] = {{"crop_year", d.season.crop_year},
                    {"limit_n_pct", number(d.season.limit_n_pct, "limit_n_pct")},
                    {"stop_n_pct", number(d.season.stop_n_pct, "stop_n_pct")},
                    {"floor_n_pct", number(d.season.floor_n_pct, "floor_n_pct")},
                    {"model", d.season.model},
                    {"seed", d.season.seed}};
  json["backtest"] = backtest_json(d.backtest);
  json["hindcast"] = hindcast_block(d.hindcast);
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
