#include "planner/app/crew_words.h"

#include <nlohmann/json.hpp>

namespace rickyard {
namespace {

using Json = nlohmann::json;

Json json_of(const MonthDay& day) { return {day.month, day.day}; }
MonthDay month_day_of(const Json& json) { return {json.at(0).get<int>(), json.at(1).get<int>()}; }

Json json_of(const CropRun& run) {
  return {json_of(run.planned), run.wait_days, run.thermal_factor, run.drilled_after, run.sown_on ? json_of(*run.sown_on) : Json()};
}
CropRun run_of(const Json& json, const std::vector<int>& units) {
  CropRun run{month_day_of(json.at(0)), units, json.at(1).get<int>(), json.at(2).get<double>(), json.at(3).get<int>(), std::nullopt};
  if (!json.at(4).is_null()) run.sown_on = month_day_of(json.at(4));
  return run;
}

}  // namespace

std::vector<std::uint8_t> order_bytes(const CropOrder& order) {
  Json json = {{"draw", order.draw}, {"rain_factor", order.patch.rain_factor}, {"warmer_c", order.patch.temperature_shift_c}};
  for (const auto& day : order.planned) json["planned"].push_back(json_of(day));
  for (const auto& team : order.teams) {
    Json runs = Json::array();
    for (const auto& run : team) runs.push_back(json_of(run));
    json["teams"].push_back({{"units", team.front().units}, {"runs", runs}});
  }
  if (order.known) json["known"] = {order.known->harvest_year, day_number(order.known->through)};
  return Json::to_cbor(json);
}

CropOrder order_of(const std::vector<std::uint8_t>& bytes) {
  const Json json = Json::from_cbor(bytes);
  CropOrder order;
  order.draw = json.at("draw").get<int>();
  order.patch.rain_factor = json.at("rain_factor").get<std::array<double, 12>>();
  order.patch.temperature_shift_c = json.at("warmer_c").get<double>();
  for (const auto& day : json.at("planned")) order.planned.push_back(month_day_of(day));
  for (const auto& team : json.at("teams")) {
    const auto units = team.at("units").get<std::vector<int>>();
    order.teams.emplace_back();
    for (const auto& run : team.at("runs")) order.teams.back().push_back(run_of(run, units));
  }
  if (json.contains("known")) order.known = KnownWeather{json["known"].at(0).get<int>(), date_of(json["known"].at(1).get<int>())};
  return order;
}

}  // namespace rickyard
