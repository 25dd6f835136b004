#include "io/manifest.h"

#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "io/rounding.h"

namespace rickyard {
namespace {

using Json = nlohmann::ordered_json;

double finite(double value, const std::string& field) {
  if (!std::isfinite(value)) throw std::logic_error("manifest: " + field + " is not a finite number");
  return value;
}

std::string utc_text(std::time_t time) {
  std::tm parts{};
  if (!::gmtime_r(&time, &parts)) throw std::logic_error("manifest: made_at is not a time");
  std::array<char, 32> text{};
  const std::size_t n = std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%SZ", &parts);
  return {text.data(), n};
}

}  // namespace

std::string manifest_json(const Manifest& m) {
  Json json = {{"rickyard", {{"version", m.version}, {"plan_schema", kPlanSchema}, {"kernel", m.kernel}}}};
  json["made_at"] = utc_text(m.made_at);
  json["note"] = m.note;
  json["seed"] = m.seed;
  json["threads"] = m.threads;
  json["inputs"] = Json::array();
  for (const auto& input : m.inputs) json["inputs"].push_back({{"path", input.path}, {"sha256", input.sha256}, {"role", input.role}});
  json["parameters"] = Json::object();
  for (const auto& [name, value] : m.parameters) json["parameters"][name] = finite(value, "parameters." + name);
  json["anchors"] = Json::array();
  for (const auto& a : m.anchors) {
    const std::string at = "anchor of " + a.contract;
    json["anchors"].push_back({{"contract", a.contract},
                               {"yield_a", finite(a.yield_a, at)},
                               {"n_shift_pct", finite(a.n_shift_pct, at)},
                               {"ln_screenings_shift", finite(a.ln_screenings_shift, at)},
                               {"other_failure_shift", finite(a.other_failure_shift, at)},
                               {"germination_held_points", finite(a.germination_held_points, at)},
                               {"mean_water_loss_share", finite(a.mean_water_loss_share, at)},
                               {"mean_drainage_winter_mm", finite(a.mean_drainage_winter_mm, at)},
                               {"thermal_factor", finite(a.thermal_factor, at)}});
  }
  json["year_weights"] = Json::array();
  for (const auto& [year, weight] : m.year_weights)
    json["year_weights"].push_back({{"year", year}, {"weight", finite(weight, "year_weights")}});
  json["crop_chunks"] = {{"grown", m.crop_chunks_grown}, {"kept", m.crop_chunks_kept}};
  json["seconds"] = Json::array();
  for (const auto& [stage, seconds] : m.seconds)
    json["seconds"].push_back({{"stage", stage}, {"seconds", rounded(finite(seconds, "seconds"), 3)}});
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rickyard
