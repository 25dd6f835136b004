#include "planner/document/cause_blocks.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "planner/document/tonne_words.h"

namespace rickyard {
namespace {

using CauseTonnes = PlanDocument::CauseTonnes;

struct Cause {
  double CauseTonnes::*t;
  const char* lost;    // what took the grain
  const char* spared;  // the same in a year that took less than usual
};

// In the order in which they are taken off.
constexpr std::array<Cause, 10> kCauses = {{{&CauseTonnes::sowing, "late or wet sowing", "timely sowing"},
                                            {&CauseTonnes::water, "too little water", "enough water"},
                                            {&CauseTonnes::waterlogging, "waterlogged soil", "soil that drained"},
                                            {&CauseTonnes::frost, "frost near heading", "little frost near heading"},
                                            {&CauseTonnes::heat, "heat in grain fill", "little heat in grain fill"},
                                            {&CauseTonnes::harvest, "a wet harvest", "a dry harvest"},
                                            {&CauseTonnes::nitrogen, "nitrogen outside the limits", "nitrogen inside the limits"},
                                            {&CauseTonnes::screenings, "thin grain", "bold grain"},
                                            {&CauseTonnes::germination, "poor germination", "sound germination"},
                                            {&CauseTonnes::other, "other failures at intake", "few other failures at intake"}}};
constexpr std::size_t kMostDrivers = 2;
constexpr double kLeastDriver = 0.005;  // t/ha on harvested hectares

// Millionths of a tonne, the last decimal of plan.json.
double millionths(double t) { return std::round(t * 1e6); }

// Rounds every figure and leaves to `other` what the rest does not explain.
CauseTonnes closed(CauseTonnes sum) {
  double rest = millionths(sum.attainable) - millionths(sum.qualifying);
  sum.attainable = millionths(sum.attainable) / 1e6;
  sum.qualifying = millionths(sum.qualifying) / 1e6;
  for (const auto& cause : kCauses) {
    if (cause.t == &CauseTonnes::other) continue;
    rest -= millionths(sum.*cause.t);
    sum.*cause.t = millionths(sum.*cause.t) / 1e6;
  }
  sum.other = rest / 1e6;
  return sum;
}

// Field losses of one weather year on the hectares that are harvested. Without weather nothing is lost on the way to what is offered.
void add_field(const DocumentInput& in, const std::vector<std::size_t>& rows, std::size_t year, const Scenario& any, double offered_t,
               CauseTonnes& sum) {
  if (!in.forecast.from_weather) {
    sum.attainable = offered_t;
    return;
  }
  for (std::size_t c : rows) {
    const double ha = any.contracts[c].harvested_ha;
    const auto& losses = in.forecast.contracts[c].losses[year];
    sum.attainable += ha * losses.attainable;
    sum.sowing += ha * losses.sowing;
    sum.water += ha * losses.water;
    sum.waterlogging += ha * losses.waterlogging;
    sum.frost += ha * losses.frost;
    sum.heat += ha * losses.heat;
    sum.harvest += ha * losses.harvest;
  }
}

// Sums before rounding: by year, the plain mean over its draws.
std::vector<CauseTonnes> unrounded_years(const DocumentInput& in, const std::vector<std::size_t>& rows,
                                         const std::vector<ContractScenario>& by_scenario) {
  const std::size_t n = in.supply.years.size();
  std::vector<CauseTonnes> years(n);
  std::vector<double> count(n, 0), offered(n, 0);
  std::vector<const Scenario*> any(n, nullptr);
  for (std::size_t s = 0; s < by_scenario.size(); ++s) {
    const auto y = static_cast<std::size_t>(in.supply.scenarios[s].year);
    any[y] = &in.supply.scenarios[s];
    offered[y] += by_scenario[s].offered_t;
    years[y].nitrogen += by_scenario[s].rejected_nitrogen_t;
    years[y].screenings += by_scenario[s].rejected_screenings_t;
    years[y].germination += by_scenario[s].rejected_germination_t;
    years[y].qualifying += by_scenario[s].qualifying_t;
    count[y] += 1;
  }
  for (std::size_t y = 0; y < n; ++y) {
    if (!any[y]) continue;
    for (double CauseTonnes::*mean :
         {&CauseTonnes::nitrogen, &CauseTonnes::screenings, &CauseTonnes::germination, &CauseTonnes::qualifying})
      years[y].*mean /= count[y];
    add_field(in, rows, y, *any[y], offered[y] / count[y], years[y]);
  }
  return years;
}

CauseTonnes mean_of(const std::vector<CauseTonnes>& years, const std::vector<double>& weights, double qualifying_t,
                    const PlanDocument::Causes& rejected_t) {
  CauseTonnes mean;
  double total = 0;
  for (std::size_t y = 0; y < years.size(); ++y) {
    for (double CauseTonnes::*part : {&CauseTonnes::attainable, &CauseTonnes::sowing, &CauseTonnes::water, &CauseTonnes::waterlogging,
                                      &CauseTonnes::frost, &CauseTonnes::heat, &CauseTonnes::harvest})
      mean.*part += weights[y] * years[y].*part;
    total += weights[y];
  }
  if (total > 0)
    for (double CauseTonnes::*part : {&CauseTonnes::attainable, &CauseTonnes::sowing, &CauseTonnes::water, &CauseTonnes::waterlogging,
                                      &CauseTonnes::frost, &CauseTonnes::heat, &CauseTonnes::harvest})
      mean.*part /= total;
  mean.nitrogen = rejected_t.nitrogen;
  mean.screenings = rejected_t.screenings;
  mean.germination = rejected_t.germination;
  mean.qualifying = qualifying_t;
  return mean;
}

struct Driver {
  double t;
  std::string words;
};

// The largest first, in the order of the causes where equal; small ones are left out.
std::vector<std::string> largest(std::vector<Driver> drivers, double harvested_ha) {
  std::stable_sort(drivers.begin(), drivers.end(), [](const Driver& a, const Driver& b) { return a.t > b.t; });
  std::vector<std::string> words;
  for (const auto& driver : drivers)
    if (words.size() < kMostDrivers && driver.t > 0 && driver.t >= kLeastDriver * harvested_ha) words.push_back(driver.words);
  return words;
}

std::vector<std::string> mean_drivers(const CauseTonnes& mean, double harvested_ha) {
  std::vector<Driver> drivers;
  for (const auto& cause : kCauses) {
    const double t = mean.*cause.t;
    drivers.push_back({t, fmt::format("{}: {} a year on average, {:.2f} t/ha", cause.lost, tonne_words(t), t / harvested_ha)});
  }
  return largest(std::move(drivers), harvested_ha);
}

// What a year below the mean lost beyond it, or what a better year was spared.
std::vector<std::string> year_drivers(const CauseTonnes& year, const CauseTonnes& mean, double harvested_ha) {
  if (year.qualifying == mean.qualifying) return {};
  const bool bad = year.qualifying < mean.qualifying;
  const double grown = bad ? mean.attainable - year.attainable : year.attainable - mean.attainable;
  std::vector<Driver> drivers = {{grown, fmt::format("{}: {} {} within reach", bad ? "a dull or short season" : "a bright, long season",
                                                     tonne_words(std::max(grown, 0.0)), bad ? "less" : "more")}};
  for (const auto& cause : kCauses) {
    const double more = year.*cause.t - mean.*cause.t, t = bad ? more : -more;
    drivers.push_back({t, fmt::format("{}: {} {} lost than on average", bad ? cause.lost : cause.spared, tonne_words(std::max(t, 0.0)),
                                      bad ? "more" : "less")});
  }
  return largest(std::move(drivers), harvested_ha);
}

}  // namespace

RegionCauses region_causes(const DocumentInput& in, const std::vector<std::size_t>& rows, const std::vector<ContractScenario>& by_scenario,
                           double qualifying_t, const PlanDocument::Causes& rejected_t) {
  RegionCauses out;
  const auto years = unrounded_years(in, rows, by_scenario);
  out.mean = closed(mean_of(years, in.supply.year_weights, qualifying_t, rejected_t));
  const double harvested_ha = by_scenario.empty() ? 0 : by_scenario.front().harvested_ha;
  for (const auto& year : years) {
    out.by_year.push_back(closed(year));
    out.drivers_by_year.push_back(harvested_ha > 0 ? year_drivers(out.by_year.back(), out.mean, harvested_ha) : std::vector<std::string>{});
  }
  if (harvested_ha > 0) out.drivers = mean_drivers(out.mean, harvested_ha);
  return out;
}

}  // namespace rickyard
