// Real barley: yields of ten varieties at six sites in two years (Minnesota trials of 1931 and 1932, Immer, Hayes & Powers 1934, J. Am.
// Soc. Agron. 26:403-419), as packed by Debian's python3-vega-datasets, run through history and calibration.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>

#include "planner/calibration/calibrate.h"
#include "tests/calibration/deliveries_maker.h"

namespace rickyard {
namespace {

using testing::delivery;
using testing::forecast_of;
using testing::grain;

constexpr const char* kPath = "/usr/lib/python3/dist-packages/vega_datasets/_data/barley.json";
constexpr double kTonnesPerHectare = 48 * 0.45359237 / 1000 / 0.40468564224;  // of a bushel of 48 lb an acre: 0.0538 t/ha

struct Plot {
  std::string site, variety;
  int year;
  double t_ha;
};

std::vector<Plot> plots() {
  std::ifstream file(kPath);
  REQUIRE_MESSAGE(file.is_open(), "python3-vega-datasets is not installed");
  std::vector<Plot> all;
  for (const auto& one : nlohmann::json::parse(file))
    all.push_back({one["site"], one["variety"], one["year"], one["yield"].get<double>() * kTonnesPerHectare});
  return all;
}

double mean_of(const std::vector<Plot>& all, const std::string& site, const std::string& variety) {
  double sum = 0, n = 0;
  for (const auto& plot : all)
    if ((site.empty() || plot.site == site) && (variety.empty() || plot.variety == variety)) {
      sum += plot.t_ha;
      n += 1;
    }
  return sum / n;
}

// A season of 1933 whose rows all say the mean of all plots; each plot a grower of one hectare.
Season trial_season(const std::vector<Plot>& all) {
  Season season = testing::delivery_season(6);
  season.crop_year = 1933;
  std::map<std::string, int> sites;
  for (const auto& plot : all) sites.emplace(plot.site, 0);
  REQUIRE(sites.size() == 6);
  std::size_t c = 0;
  for (const auto& [site, unused] : sites) {
    auto& row = season.contracts[c++];
    row.region = site;
    row.contract = site;
    row.yield_t_ha = mean_of(all, "", "");
  }
  for (const auto& plot : all) {
    HistoryRow row = delivery(plot.site, plot.year, 1, plot.t_ha);
    row.grower = row.variety = plot.variety;
    season.history.push_back(row);
  }
  return season;
}

HarvestForecast flat_forecast(const Season& season) {
  return forecast_of(season, {1931, 1932},
                     std::vector<std::vector<UnitHarvest>>(2, std::vector<UnitHarvest>(6, grain(*season.contracts[0].yield_t_ha, 1.5))));
}

const CalibrationEntry& entry(const Calibration& calibration, const std::string& name) {
  for (const auto& one : calibration.entries)
    if (one.name == name) return one;
  FAIL("no entry " << name);
  std::abort();
}

double own_figure(const Calibration& calibration, const std::string& site) {
  const std::string& note = entry(calibration, "yield, " + site).note;
  return std::stod(note.substr(note.rfind(' ')));
}

}  // namespace

TEST_CASE("two seasons of real trials move six sites a little, in the right order and said to be too few") {
  const auto all = plots();
  REQUIRE(all.size() == 120);
  CHECK(mean_of(all, "", "") == doctest::Approx(34.42 * kTonnesPerHectare).epsilon(0.001));  // bushels an acre, mean of the data set
  const Season season = trial_season(all);
  const auto found = calibrate(season, flat_forecast(season));
  const double user = mean_of(all, "", "");
  for (const auto& a : season.contracts) {
    CAPTURE(a.region);
    // Log means of the two years lie a little under the plain mean.
    CHECK(own_figure(found, a.region) == doctest::Approx(mean_of(all, a.region, "")).epsilon(0.03));
    const auto& yield = entry(found, "yield, " + a.region);
    MESSAGE(a.region << ": user " << user << ", alone " << own_figure(found, a.region) << ", calibrated " << yield.calibrated << " +- "
                     << yield.standard_error << ", moved " << yield.moved_by);
    CHECK(yield.seasons == 2);
    CHECK(yield.note.find("too few") == 0);
    CHECK((yield.calibrated - user) * (own_figure(found, a.region) - user) > 0);  // towards its own deliveries
    CHECK(std::abs(yield.calibrated - user) < 0.35 * std::abs(own_figure(found, a.region) - user) + 0.05);
    for (const auto& b : season.contracts)
      if (own_figure(found, a.region) > own_figure(found, b.region))
        CHECK(yield.calibrated > entry(found, "yield, " + b.region).calibrated);
  }
}

TEST_CASE("sites that grew the best four varieties only are brought to the level of all, where the history names them") {
  const auto all = plots();
  Season season = trial_season(all);
  const double mean = mean_of(all, "", "");
  std::vector<std::pair<double, std::string>> ranked;
  for (const auto& plot : all) {
    const std::pair<double, std::string> one{mean_of(all, "", plot.variety) / mean, plot.variety};
    if (std::find(ranked.begin(), ranked.end(), one) == ranked.end()) ranked.push_back(one);
  }
  REQUIRE(ranked.size() == 10);
  std::sort(ranked.rbegin(), ranked.rend());
  for (const auto& [factor, variety] : ranked) {
    season.varieties.emplace_back();
    season.varieties.back().variety = variety;
    season.varieties.back().yield_factor = factor;
  }
  const auto whole = calibrate(season, flat_forecast(season));  // all ten varieties at every site
  std::erase_if(season.history, [&](const HistoryRow& row) {
    return std::none_of(ranked.begin(), ranked.begin() + 4, [&](const auto& one) { return one.second == row.variety; });
  });
  const auto levelled = calibrate(season, flat_forecast(season));
  for (auto& row : season.history) row.variety.clear();
  const auto mixed = calibrate(season, flat_forecast(season));
  double off_levelled = 0, off_mixed = 0;
  for (const auto& row : season.contracts) {
    off_levelled += (own_figure(levelled, row.region) / own_figure(whole, row.region) - 1) / 6;
    off_mixed += (own_figure(mixed, row.region) / own_figure(whole, row.region) - 1) / 6;
  }
  MESSAGE("six sites with their best four varieties are too high by " << 100 * off_mixed << " % mixed, " << 100 * off_levelled
                                                                      << " % levelled");
  CHECK(off_mixed > 0.05);
  CHECK(std::abs(off_levelled) < 0.02);
}

}  // namespace rickyard
