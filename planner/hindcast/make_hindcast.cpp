#include "planner/hindcast/make_hindcast.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <limits>

#include "planner/base/blocks.h"
#include "planner/base/problem.h"
#include "planner/calibration/modelled_regions.h"
#include "planner/crop/season_windows.h"
#include "planner/hindcast/grower_records.h"
#include "planner/hindcast/observed_seasons.h"
#include "planner/hindcast/season_members.h"
#include "planner/hindcast/season_rows.h"
#include "planner/hindcast/thinned_land.h"
#include "planner/hindcast/water_store.h"
#include "planner/quality/contract_terms.h"
#include "planner/quality/forecast_by_formulas.h"
#include "planner/quality/usual_harvest.h"
#include "planner/quality/variants.h"
#include "planner/supply/contract_grain.h"

namespace rickyard {
namespace {

std::vector<BaseHarvest> grow_past(const Season& season, const Land& land, std::span<const WeatherArchive> archives,
                                   const Growing& growing) {
  const auto of_draw = [&](std::size_t i) { return growing_of_draw(growing, i, archives.size(), season.seed); };
  std::vector<std::vector<double>> factors;
  for (std::size_t i = 0; i < archives.size(); ++i) factors.push_back(usual_harvest_factors(season, land, archives[i], of_draw(i)));
  const auto shared = mean_harvest_factors(factors);
  std::vector<BaseHarvest> bases;
  for (std::size_t i = 0; i < archives.size(); ++i) bases.push_back(grow_base(season, land, archives[i], shared, of_draw(i)));
  return bases;
}

// Years that can be forecast.
std::vector<int> years_of(const HindcastWorld& world, const HindcastRequest& request, const ObservedSeasons& observed) {
  std::vector<int> years;
  if (!world.bases.empty()) {
    years = world.bases.front().crop.records.harvest_years;
    if (years.size() < 2)
      throw InputError({{Severity::error, "rasters", std::to_string(years.size()), "one past season cannot be forecast from no other",
                         "give weather of more years"}});
  } else {
    for (const auto& seasons : observed.regions)
      for (const auto& [year, unused] : seasons) years.push_back(year);
    std::sort(years.begin(), years.end());
    years.erase(std::unique(years.begin(), years.end()), years.end());
    if (years.empty())
      throw InputError({{Severity::error, "season.toml (tables.history)", "",
                         "model = \"formulas\" has no past weather to test itself on, and no past deliveries are given",
                         "give a history table with planted_ha and delivered_t, or rasters and model = \"daily\""}});
  }
  if (request.years.empty()) return years;
  std::vector<int> wanted;
  for (int year : request.years) {
    if (std::find(years.begin(), years.end(), year) == years.end())
      throw InputError(
          {{Severity::error, "--year", std::to_string(year), "this season cannot be forecast: it is not among the past seasons",
            fmt::format("choose years from {} to {}", years.front(), years.back())}});
    wanted.push_back(year);
  }
  std::sort(wanted.begin(), wanted.end());
  wanted.erase(std::unique(wanted.begin(), wanted.end()), wanted.end());
  return wanted;
}

ModelledRegions regions_of(const HindcastWorld& world) {
  if (world.bases.empty()) return modelled_regions(world.season, forecast_by_formulas(world.season, {}), std::nullopt);
  Growing alone;
  alone.threads = 1;
  return modelled_regions(
      world.season, forecast_harvest(world.season, {}, *world.land, world.archives.front(), world.bases.front(), alone, Knowledge::none),
      std::nullopt);
}

// What differs in every region in one season.
struct SeasonTerms {
  std::vector<RegionTerms> regions;
  std::vector<double> planted_ha, level_ha;
  std::vector<std::optional<Date>> sown;  // [contract]
};

SeasonTerms terms_of(const Season& season, const ObservedSeasons& observed, const std::vector<double>& table_ha, int year) {
  SeasonTerms out;
  out.sown.resize(season.contracts.size());
  const auto region_of_row = region_of_contract(season);
  for (std::size_t r = 0; r < table_ha.size(); ++r) {
    RegionTerms terms;
    double planted_ha = table_ha[r];
    if (const auto at = observed.regions[r].find(year); at != observed.regions[r].end()) {
      const ObservedSeason& then = at->second;
      planted_ha = then.planted_ha;
      terms = {then.level_ha / table_ha[r], then.n_offset_pct, then.limit_n_pct};
      for (std::size_t c = 0; c < out.sown.size(); ++c)
        if (region_of_row[c] == static_cast<int>(r)) out.sown[c] = then.sown;
    }
    out.regions.push_back(terms);
    out.planted_ha.push_back(planted_ha);
    out.level_ha.push_back(terms.area_factor * table_ha[r]);
  }
  return out;
}

std::vector<double> hectares_of_regions(const Season& season) {
  std::vector<double> ha(contracted_regions(season).size(), 0);
  const auto region = region_of_contract(season);
  for (std::size_t c = 0; c < season.contracts.size(); ++c) ha[static_cast<std::size_t>(region[c])] += planted_ha_of(season.contracts[c]);
  return ha;
}

// One season on every date, and what came of it where that is the model's own doing.
struct Outcome {
  ForecastSeason forecast;
  std::vector<CameSeason> own;  // [region]; empty where deliveries tell
};

struct SeasonWork {
  const HindcastWorld& world;
  const ObservedSeasons& observed;
  const std::vector<HindcastDate>& dates;
  const std::vector<double>& table_ha;
  HindcastKind kind;
  int draws;

  Outcome run(int year) const {
    const PastSeason past = past_season(world, year);
    const SeasonTerms terms = terms_of(world.season, observed, table_ha, year);
    Outcome out;
    ForecastSeason& f = out.forecast;
    f.year = year;
    f.weather_years = past.others.years;
    f.planted_ha = terms.planted_ha;
    f.level_ha = terms.level_ha;
    for (std::size_t r = 0; r < table_ha.size(); ++r) {
      f.limit_n_pct.push_back(terms.regions[r].limit_n_pct ? terms.regions[r].limit_n_pct : world.season.spec.limit_n_pct);
      f.came_n_pct.push_back(came_n(past.season, r, year));
    }
    for (const auto& date : dates) {
      f.as_of.push_back(date_in_season(world.season, year, date.day));
      f.on.push_back(season_members(past.season, forecast_on(world, past, f.as_of.back(), terms.sown), past.law, terms.regions, draws));
    }
    if (kind == HindcastKind::self_test) {
      // The model's own harvest of the year under the first draw of its residuals.
      const auto own = season_members(past.season, *past.own, past.law, terms.regions, 1);
      for (std::size_t r = 0; r < own.regions.size(); ++r)
        out.own.push_back({terms.level_ha[r], own.regions[r].offered_t.front(), own.regions[r].qualifying_t.front()});
    }
    return out;
  }

  std::optional<double> came_n(const Season& in_force, std::size_t r, int year) const {
    const auto at = observed.regions[r].find(year);
    if (at == observed.regions[r].end()) return std::nullopt;
    return all_grain_n(at->second.nitrogen, in_force.parameters["n_sigma_farm_pct"],
                       in_force.spec.floor_n_pct.value_or(-std::numeric_limits<double>::infinity()));
  }
};

void note_years(const ObservedSeasons& observed, const std::vector<int>& years, bool all_asked, Hindcast& out) {
  out.notes.insert(out.notes.end(), observed.left_out.begin(), observed.left_out.end());
  std::vector<int> without;
  for (const auto& seasons : observed.regions)
    for (const auto& [year, unused] : seasons)
      if (std::find(years.begin(), years.end(), year) == years.end()) without.push_back(year);
  std::sort(without.begin(), without.end());
  without.erase(std::unique(without.begin(), without.end()), without.end());
  if (without.empty() || !all_asked) return;
  std::string list;
  for (int year : without) list += (list.empty() ? "" : ", ") + std::to_string(year);
  out.notes.push_back(fmt::format("deliveries of {} are not scored: the archive holds no whole season of weather for {}", list,
                                  without.size() == 1 ? "it" : "them"));
}

}  // namespace

std::vector<HindcastDate> usual_dates(const Season& season) {
  std::vector<HindcastDate> dates;
  for (const auto& row : season.contracts) {
    const MonthDay planned = contract_run(season, row, {}).planned;
    if (dates.empty()) dates.push_back({"sowing", planned});
    if (season_day(season, season.crop_year, planned) < season_day(season, season.crop_year, dates.front().day))
      dates.front().day = planned;
  }
  for (const auto& [months, day] : {std::pair{8, 1}, {9, 1}, {10, 15}}) {
    const MonthDay at{(season.season_start.month - 1 + months) % 12 + 1, day};
    dates.push_back({to_text(at), at});
  }
  return dates;
}

std::optional<Hindcast> make_hindcast(const Season& given, const Land* land, std::span<const WeatherArchive> archives,
                                      const HindcastRequest& request, const Growing& growing, const std::stop_token& stop) {
  if (request.dates.empty()) throw std::invalid_argument("a hindcast needs a date");
  Hindcast out;
  HindcastWorld world{hindcast_season(given), nullptr, archives, {}, growing.kernel};
  Land few;
  WaterStore water(growing.cache);
  if (land) {
    few = thinned_land(*land, static_cast<int>(given.parameters["hindcast_units_per_region"]));
    world.land = &few;
    if (growing.progress) growing.progress->stage("growing the crop of every past season");
    Growing of_past = growing;
    of_past.cache = &water;
    world.bases = grow_past(world.season, few, archives, of_past);
    // The water they begin with serves the seasons in hand; records of these are many and used once.
    water.keep_records = false;
    world.water = &water;
    world.land_and_weather = growing.land_and_weather;
  }
  const ObservedSeasons observed = observed_seasons(world.season, regions_of(world));
  out.kind = observed.any() ? HindcastKind::deliveries : HindcastKind::self_test;
  out.years = years_of(world, request, observed);
  out.dates = request.dates;
  out.regions = contracted_regions(world.season);
  if (land) {
    for (const auto& region : out.regions) {
      out.units += static_cast<int>(region_of(few, region, "contracts").units.size());
      out.units_of_land += static_cast<int>(region_of(*land, region, "contracts").units.size());
    }
  } else if (out.dates.size() > 1) {
    out.dates.resize(1);
    out.notes.push_back("model = formulas knows no weather, so one date stands for all");
  }
  note_years(observed, out.years, request.years.empty(), out);

  const auto table_ha = hectares_of_regions(world.season);
  const int draws = static_cast<int>(given.parameters["hindcast_draws_per_year"]);
  const SeasonWork work{world, observed, out.dates, table_ha, out.kind, draws};
  std::vector<Outcome> outcomes(out.years.size());
  if (growing.progress) growing.progress->stage("forecasting past seasons");
  std::atomic<int> done{0};
  for_each_block(static_cast<int>(out.years.size()), growing.threads, [&](int y) {
    if (stop.stop_requested()) return;
    outcomes[static_cast<std::size_t>(y)] = work.run(out.years[static_cast<std::size_t>(y)]);
    if (growing.progress) growing.progress->step(++done, static_cast<long long>(out.years.size()));
  });
  if (stop.stop_requested()) return std::nullopt;

  CameSeasons came(out.regions.size());
  for (std::size_t r = 0; r < came.size(); ++r) {
    for (const auto& [year, one] : observed.regions[r]) came[r].emplace(year, CameSeason{one.level_ha, one.delivered_t, one.qualifying_t});
    for (const auto& outcome : outcomes)
      if (!outcome.own.empty()) came[r].emplace(outcome.forecast.year, outcome.own[r]);
  }
  std::vector<ForecastSeason> seasons;
  for (auto& outcome : outcomes) seasons.push_back(std::move(outcome.forecast));
  const Bootstrap bootstrap{given.seed, static_cast<int>(given.parameters["bootstrap_replicates"]), given.parameters["bootstrap_level"], 0};
  if (growing.progress) growing.progress->stage("scoring");
  add_rows(seasons, came, bootstrap, growing.threads, out);
  add_growers(world.season, seasons, observed, draws, bootstrap, out);
  return out;
}

}  // namespace rickyard
