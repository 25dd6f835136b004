#include "planner/hindcast/past_season.h"

#include <fmt/format.h>

#include "planner/calibration/calibrate.h"
#include "planner/crop/season_windows.h"
#include "planner/quality/forecast_by_formulas.h"
#include "planner/quality/season_in_hand.h"
#include "planner/quality/select_years.h"
#include "planner/quality/variants.h"

namespace rickyard {
namespace {

HarvestForecast forecast(const HindcastWorld& world, const Season& season, const std::vector<BaseHarvest>& bases, Knowledge knowledge) {
  // Past seasons run side by side, each on one thread; nothing of them is kept on disk.
  Growing alone;
  alone.threads = 1;
  alone.kernel = world.kernel;
  alone.cache = world.water;
  alone.land_and_weather = world.land_and_weather;
  std::vector<HarvestForecast> parts;
  for (std::size_t i = 0; i < bases.size(); ++i)
    parts.push_back(forecast_harvest(season, {}, *world.land, world.archives[i], bases[i],
                                     growing_of_draw(alone, i, bases.size(), season.seed), knowledge));
  return merge_variants(parts);
}

// Anchors of the other years for figures that hold for all of them.
void anchor(const HindcastWorld& world, const Season& season, std::vector<BaseHarvest>& others, std::vector<BaseHarvest>& all) {
  share_anchors(season, *world.land, others);
  for (auto& base : all) base.anchors = others.front().anchors;
}

std::vector<int> others_of(const std::vector<int>& years, int year) {
  std::vector<int> others;
  for (int other : years)
    if (other != year) others.push_back(other);
  return others;
}

PastSeason by_formulas(const HindcastWorld& world, int year) {
  Season season = calibrate(world.season, forecast_by_formulas(world.season, {}), year).season;
  HarvestForecast others = forecast_by_formulas(season, {});
  ResidualModel law = residual_model(season, others);
  return {year, std::move(season), {}, std::move(others), std::nullopt, std::move(law)};
}

}  // namespace

Growing growing_of_draw(Growing growing, std::size_t i, std::size_t draws, unsigned seed) {
  growing.draw = static_cast<int>(i);
  if (draws > 1 && growing.cache) growing.land_and_weather += fmt::format("draw {} of {}, seed {}\n", i, draws, seed);
  return growing;
}

Season hindcast_season(const Season& given) {
  Season season = given;
  season.outlook = {};
  season.backups.clear();
  for (auto& row : season.contracts) row.sown.reset();
  return season;
}

PastSeason past_season(const HindcastWorld& world, int year) {
  if (world.bases.empty()) return by_formulas(world, year);
  std::vector<BaseHarvest> all = world.bases, others = world.bases;
  for (auto& base : others) leave_out_year(base.crop.records, year);
  if (others.front().crop.records.harvest_years.empty())
    throw std::invalid_argument("a season cannot be forecast from no other: the archive holds one only");
  anchor(world, world.season, others, all);
  Season season = calibrate(world.season, forecast(world, world.season, all, Knowledge::none), year).season;
  anchor(world, season, others, all);
  const HarvestForecast grown = forecast(world, season, all, Knowledge::none);
  PastSeason past{year, season, std::move(others), select_years(grown, others_of(grown.years, year)), select_years(grown, {year}), {}};
  past.law = residual_model(season, past.others);
  past.season.crop_year = year;
  return past;
}

HarvestForecast forecast_on(const HindcastWorld& world, const PastSeason& past, const Date& as_of,
                            const std::vector<std::optional<Date>>& sown) {
  if (past.bases.empty()) return past.others;
  Season season = past.season;
  season.as_of = as_of;
  for (std::size_t c = 0; c < season.contracts.size(); ++c) season.contracts[c].sown = sown[c];
  return forecast(world, season, past.bases, Knowledge::up_to_date);
}

Date date_in_season(const Season& season, int year, const MonthDay& day) {
  return date_of(day_number(in_year(season.season_start, year - 1)) + season_day(season, year, day));
}

}  // namespace rickyard
