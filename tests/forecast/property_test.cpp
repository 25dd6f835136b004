// What must hold for any weather, place and parameters: the water balance, the order of dates, bounds of every figure, and that
// rain in a dry July does no harm through drought.
#include <doctest/doctest.h>

#include <cmath>
#include <initializer_list>
#include <numeric>
#include <span>

#include "planner/base/problem.h"
#include "planner/crop/crop_run.h"
#include "planner/crop/season_windows.h"
#include "planner/quality/bands.h"
#include "planner/quality/contract_terms.h"
#include "planner/quality/forecast_harvest.h"
#include "tests/forecast/islands.h"
#include "tests/forecast/season_maker.h"
#include "tests/forecast/weather_maker.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

std::vector<int> all_units(const Land& land) {
  std::vector<int> units(land.units.size());
  std::iota(units.begin(), units.end(), 0);
  return units;
}

Date season_date(const Season& season, int harvest_year, int day) {
  return in_year(season.season_start, harvest_year - 1) + boost::gregorian::days(day);
}

// The balance to 1e-9 mm; where floods of metres of rain are added up, to 1e-12 of the rain.
void check_balance(const CropRecord& r, const SeasonBalance& b) {
  CHECK(std::abs(r.rain_mm - b.et_mm - b.runoff_mm - b.drainage_mm - b.storage_change_mm) <= std::max(1e-9, 1e-12 * r.rain_mm));
  CHECK(b.et_mm >= -1e-9);
  CHECK(b.runoff_mm >= 0);
  CHECK(b.runoff_mm <= r.rain_mm + 1e-9);
  CHECK(b.drainage_mm >= 0);
  CHECK(r.drainage_winter_mm <= b.drainage_mm + 1e-9);
  CHECK(b.deficit_oct1_mm >= 0);
}

// Stages in order, each inside the season, none reached before the one before it.
void check_dates(const CropRecord& r, int days) {
  int before = 0;
  bool reached = true;
  for (int day : {int{r.sown}, int{r.emerged}, int{r.stem_extension}, int{r.heading}, int{r.ripe}, int{r.harvested}}) {
    if (day < 0) {
      CHECK(day == -1);
      reached = false;
      continue;
    }
    CHECK(reached);
    CHECK(day >= before);
    CHECK(day < days);
    before = day;
  }
}

void check_bounds(const CropRecord& r, const ParameterSet& p) {
  for (double factor : {r.water_factor, r.waterlogging_factor, r.heat_factor, r.frost_factor, r.sowing_factor, r.harvest_factor}) {
    CHECK(factor >= 0);
    CHECK(factor <= 1);
  }
  CHECK(std::isfinite(r.relative_yield));
  CHECK(r.relative_yield >= 0);
  CHECK(r.relative_yield <= r.duration + 1e-12);
  CHECK(r.deficit_fill_mm >= 0);
  CHECK(r.deficit_fill_mm <= 1000 * p["root_depth_max_m"] + 42 * 20);  // six weeks of the air asking, under 20 mm a day
  CHECK(r.heat_degree_days >= 0);
  CHECK(r.wet_days_harvest >= 0);
  CHECK(r.rain_harvest_mm >= 0);
  CHECK(r.grain_moisture_pct >= 0);
  CHECK(r.grain_moisture_pct <= 100);
  CHECK(r.waterlogged_days >= 0);
  CHECK(r.frost_nights >= 0);
  CHECK(r.combine_days >= 0);
  CHECK(r.combine_days <= p["combine_window_days"]);
}

// Seven seasons at 35 S: warm in January, cool and wet in July.
const WeatherArchive& southern() {
  static const WeatherArchive archive = [] {
    std::vector<Climate> climates(2);
    climates[0] = {550, 15, -6.5, 11, 7.5, 0.30, -0.3};
    climates[1] = {850, 14, -5.5, 10, 7.0, 0.40, -0.3};
    return make_archive(climates, Date(2001, 3, 1), Date(2009, 4, 30), 5);
  }();
  return archive;
}

Season southern_season() {
  Season season = make_season();
  season.season_start = {3, 1};
  season.season_end = {4, 30};
  return season;
}

// One cell, two seasons, no rain in July 2001.
WeatherArchive dry_july(unsigned seed) {
  const Climate climate{500 + 10.0 * (seed % 30), 9.5, 6.8, 8.5, 5.5, 0.40, 0};
  auto archive = make_archive({climate}, Date(1999, 9, 1), Date(2001, 10, 31), seed);
  const int july = static_cast<int>((Date(2001, 7, 1) - archive.first_day).days());
  for (int day = july; day < july + 31; ++day) archive.rain_cmm[static_cast<std::size_t>(day)] = 0;
  return archive;
}

// Weather no place has: each season is all drought, all flood, all frost, all heat, or wild from day to day.
WeatherArchive hostile_weather(std::mt19937_64& engine) {
  WeatherArchive archive;
  archive.cells = 1;
  archive.first_day = Date(2003, 9, 1);
  archive.days = static_cast<int>((Date(2006, 10, 31) - archive.first_day).days()) + 1;  // 29 February 2004 is among them
  int kind = 0;
  for (int day = 0; day < archive.days; ++day) {
    if (day % 150 == 0) kind = static_cast<int>(6 * uniform(engine));
    double rain = kind == 1 ? 120 * uniform(engine) : kind == 0 ? 0 : -4 * std::log(uniform(engine));
    if (kind == 5 && uniform(engine) < 0.02) rain = 650;
    const double mean = kind == 2 ? -25 : kind == 3 ? 42 : kind == 5 ? -30 + 70 * uniform(engine) : 11;
    const double range = kind == 4 ? 0 : 20 * uniform(engine);
    archive.rain_cmm.push_back(static_cast<std::uint16_t>(std::lround(100 * rain)));
    archive.tmin_cc.push_back(static_cast<std::int16_t>(std::lround(100 * (mean - range / 2))));
    archive.tmax_cc.push_back(static_cast<std::int16_t>(std::lround(100 * (mean + range / 2))));
  }
  return archive;
}

// Some parameters of a table pushed to an end of their range or anywhere inside it.
void disturb(ParameterSet& parameters, std::span<const ParameterSpec> table, std::mt19937_64& engine) {
  for (const auto& spec : table) {
    const auto name = spec.name;
    const double u = uniform(engine), v = uniform(engine);
    if (u < 0.15)
      parameters.set(name, spec.min);
    else if (u < 0.30)
      parameters.set(name, spec.max);
    else if (u < 0.45)
      parameters.set(name, spec.min + v * (spec.max - spec.min));
  }
}

// Stages, cover and crop coefficients drawn in the order the model asks.
void draw_stages(ParameterSet& parameters, std::mt19937_64& engine) {
  const auto between = [&](const char* name, double low, double high) {
    const auto& spec = parameters.spec(name);
    const double from = std::max(low + 1, spec.min), to = std::max(std::min(high - 1, spec.max), from);
    parameters.set(name, from + uniform(engine) * (to - from));
    return parameters[name];
  };
  const double emergence = parameters["emergence_cd"], heading = between("heading_cd", between("stem_extension_cd", emergence, 1500), 2500);
  const double ripeness = between("ripeness_cd", heading, 4000);
  between("cover_decline_cd", between("full_cover_cd", emergence, std::min(2000.0, ripeness - 200)), ripeness);
  parameters.set("kcb_mid", std::max(parameters["kcb_mid"], parameters["kcb_initial"] + 0.01));
  parameters.set("kc_max", std::max(parameters["kc_max"], parameters["kcb_initial"] + 0.01));
}

}  // namespace

TEST_CASE("Balance and order of dates: both beginnings, leap years, north, south and sown before New Year") {
  for (const auto start : {SeasonStart::previous_year, SeasonStart::field_capacity}) {
    struct Place {
      const WeatherArchive* archive;
      Land land;
      Season season;
      MonthDay planned;
    };
    const std::vector<SoilClass> soils = {soil_of(0.40, 0.20), soil_of(0.80, 0.05, 0.4), soil_of(0.25, 0.50)};
    Place places[] = {{&islands(), island_land(), make_season(), {3, 31}},
                      {&islands(), island_land(), make_season(), {10, 15}},  // grows across New Year
                      {&southern(), make_land(2, soils, -35), southern_season(), {6, 15}}};
    for (auto& place : places) {
      place.season.start = start;
      const auto units = all_units(place.land);
      const auto records = run_crop(place.land, *place.archive, {{place.planned, units}}, place.season, {}, 1, nullptr);
      const auto windows = season_windows(place.season, *place.archive, {place.planned});
      REQUIRE(records.harvest_years.size() == windows.size());
      int leap_years = 0;
      for (std::size_t y = 0; y < windows.size(); ++y) {
        leap_years += windows[y].days == 427 ? 1 : 0;  // both seasons are 14 months long
        for (int k = 0; k < static_cast<int>(units.size()); ++k) {
          CAPTURE(windows[y].harvest_year);
          CAPTURE(k);
          const auto& r = records.at(0, static_cast<int>(y), k);
          check_balance(r, records.balance(0, static_cast<int>(y), k));
          check_dates(r, windows[y].days);
          check_bounds(r, place.season.parameters);
          double rain = 0;
          const int cell = place.land.units[static_cast<std::size_t>(k)].cell;
          for (int day = windows[y].begin; day < windows[y].days; ++day)
            rain += place.archive->rain_cmm[place.archive->at(windows[y].first + day, cell)] / 100.0;
          CHECK(std::abs(r.rain_mm - rain) < 1e-9);
        }
      }
      CHECK(leap_years >= 1);
    }
  }
}

TEST_CASE("A crop sown in June at 35 S stands through winter and is cut from October to January") {
  const auto season = southern_season();
  const auto land = make_land(2, {soil_of(0.40, 0.20), soil_of(0.80, 0.05)}, -35);
  const auto records = run_crop(land, southern(), {{{6, 15}, {0, 1, 2, 3}}}, season, {}, 1, nullptr);
  REQUIRE(records.harvest_years.size() == 8);
  for (int y = 0; y < 8; ++y)
    for (int k = 0; k < 4; ++k) {
      CAPTURE(y);
      CAPTURE(k);
      const auto& r = records.at(0, y, k);
      const int label = records.harvest_years[static_cast<std::size_t>(y)];
      CHECK(season_date(season, label, r.sown) >= Date(static_cast<unsigned short>(label - 1), 6, 15));
      CHECK(season_date(season, label, r.sown) <= Date(static_cast<unsigned short>(label - 1), 7, 15));
      const int heading = season_date(season, label, r.heading).month();
      CHECK(heading >= 8);
      CHECK(heading <= 10);
      const int harvest = season_date(season, label, r.harvested).month();
      CHECK((harvest >= 10 || harvest == 1));
    }
  // The sun of the south: in the same weather at 35 N a crop sown in June would stand under the summer's sun and catch far more light.
  const auto north = make_land(2, {soil_of(0.40, 0.20), soil_of(0.80, 0.05)}, 35);
  const auto turned = run_crop(north, southern(), {{{6, 15}, {0, 1, 2, 3}}}, season, {}, 1, nullptr);
  for (int y = 0; y < 8; ++y) CHECK(turned.at(0, y, 0).duration > 1.2 * records.at(0, y, 0).duration);
}

TEST_CASE("A crop sown in October grows across New Year: sown before it, headed after it, cut in summer") {
  const auto season = make_season();
  const auto records = run_crop(island_land(), islands(), {{{10, 15}, {0, 1, 6}}}, season, {}, 1, nullptr);
  for (int y = 0; y < 30; ++y)
    for (int k = 0; k < 3; ++k) {
      CAPTURE(y);
      CAPTURE(k);
      const int label = records.harvest_years[static_cast<std::size_t>(y)];
      const auto& r = records.at(0, y, k);
      CHECK(season_date(season, label, r.sown).year() == label - 1);
      CHECK(season_date(season, label, r.heading).year() == label);
      CHECK(season_date(season, label, r.harvested) < Date(static_cast<unsigned short>(label), 9, 1));
    }
}

TEST_CASE("Planned on 29 February: the 29th in leap years, the 28th in others") {
  auto season = make_season();
  CHECK(season_day(season, 2004, {2, 29}) == 181);
  CHECK(season_day(season, 2004, {2, 28}) == 180);
  CHECK(season_day(season, 2005, {2, 29}) == 180);
  CHECK(season_day(season, 2004, {3, 1}) == 182);
  CHECK(season_day(season, 2005, {3, 1}) == 181);
  CHECK(season_day(season, 2000, {2, 29}) == 181);  // divisible by 400
  // Sown at once, whatever the soil: the day is the date itself.
  const std::vector<CropRun> at_once = {{{2, 29}, {0}, 0}, {{2, 28}, {0}, 0}};
  const auto records = run_crop(island_land(), islands(), at_once, season, {}, 1, nullptr);
  for (int y = 0; y < 30; ++y) {
    const int label = records.harvest_years[static_cast<std::size_t>(y)];
    const bool leap = label % 4 == 0;
    CHECK(season_date(season, label, records.at(0, y, 0).sown) == Date(static_cast<unsigned short>(label), 2, leap ? 29 : 28));
    CHECK(season_date(season, label, records.at(1, y, 0).sown) == Date(static_cast<unsigned short>(label), 2, 28));
  }
  // A contract's date is turned in a common year (METHODS.md, "Contract rows and their runs").
  auto row = contract("A", 100, 6, 1.5);
  row.sow_planned = Date(2028, 2, 29);
  row.sow_latest = Date(2028, 3, 30);
  CHECK(contract_run(season, row, {}).planned == MonthDay{2, 28});
  CHECK(contract_run(season, row, {}).wait_days == 30);
  SeasonPatch later;
  later.sowing_shift_days = 1;
  CHECK(contract_run(season, row, later).planned == MonthDay{3, 1});
}

TEST_CASE("A season that starts on 29 February has no gap and no overlap between years") {
  auto season = make_season();
  season.season_start = {2, 29};
  season.season_end = {4, 30};
  const auto windows = season_windows(season, islands(), {{6, 15}});
  REQUIRE(windows.size() > 20);
  for (std::size_t y = 0; y + 1 < windows.size(); ++y) CHECK(windows[y].first + windows[y].carry + 1 == windows[y + 1].first);
}

TEST_CASE("More rain on a day of a rainless July never lowers the water factor") {
  const auto land = make_land(1, {soil_of(0.40, 0.20), soil_of(0.80, 0.05), soil_of(0.25, 0.50), soil_of(0.40, 0.20, 0.5)});
  const auto season = make_season();
  const std::vector<CropRun> runs = {{{3, 31}, {0, 1, 2, 3}}};
  long cases = 0, lower = 0, higher = 0;
  double deepest = 0;
  for (unsigned seed = 1; seed <= 25; ++seed) {
    const auto dry = dry_july(seed);
    const auto base = run_crop(land, dry, runs, season, {}, 1, nullptr);
    const auto july = static_cast<std::size_t>((Date(2001, 7, 1) - dry.first_day).days());
    const int last = static_cast<int>(base.harvest_years.size()) - 1;
    for (std::size_t day = july; day < july + 31; ++day)
      for (const int more_cmm : {20, 100, 300, 1000, 3000, 6000}) {
        auto archive = dry;
        archive.rain_cmm[day] = static_cast<std::uint16_t>(more_cmm);
        const auto wetter = run_crop(land, archive, runs, season, {}, 1, nullptr);
        for (int k = 0; k < 4; ++k) {
          const double change = wetter.at(0, last, k).water_factor - base.at(0, last, k).water_factor;
          ++cases;
          lower += change < -1e-12 ? 1 : 0;
          higher += change > 1e-12 ? 1 : 0;
          deepest = std::min(deepest, change);
          if (change < -1e-12) {
            CAPTURE(seed);
            CAPTURE(day - july + 1);
            CAPTURE(more_cmm);
            CAPTURE(k);
            CHECK(change >= -1e-12);
          }
        }
      }
  }
  MESSAGE("cases " << cases << ", higher " << higher << ", lower " << lower << ", deepest " << deepest);
  CHECK(cases == 25 * 31 * 6 * 4);
  CHECK(lower == 0);
  CHECK(higher > 0.3 * static_cast<double>(cases));
}

TEST_CASE("Hostile weather and parameters: every figure of the crop stays within its bounds") {
  std::mt19937_64 engine(2027);
  const auto land = make_land(1, {soil_of(0.40, 0.20), soil_of(0.90, 0.03, 0.2), soil_of(0.10, 0.60), soil_of(0.05, 0.05)});
  int grown = 0, refused = 0;
  for (int round = 0; round < 300; ++round) {
    CAPTURE(round);
    auto season = make_season();
    disturb(season.parameters, parameter_table(), engine);
    draw_stages(season.parameters, engine);
    season.start = round % 2 == 0 ? SeasonStart::previous_year : SeasonStart::field_capacity;
    const auto archive = hostile_weather(engine);
    const MonthDay planned{1 + static_cast<int>(12 * uniform(engine)), 15};
    const int wait = static_cast<int>(60 * uniform(engine));
    try {
      const auto records = run_crop(land, archive, {{planned, {0, 1, 2, 3}, wait, 0.5 + uniform(engine)}}, season, {}, 1, nullptr);
      const auto windows = season_windows(season, archive, {planned});
      ++grown;
      for (std::size_t y = 0; y < windows.size(); ++y)
        for (int k = 0; k < 4; ++k) {
          CAPTURE(windows[y].harvest_year);
          CAPTURE(k);
          const auto& r = records.at(0, static_cast<int>(y), k);
          check_balance(r, records.balance(0, static_cast<int>(y), k));
          check_dates(r, windows[y].days);
          check_bounds(r, season.parameters);
        }
    } catch (const InputError& error) {
      ++refused;  // stages out of order: said, not grown
      CHECK_FALSE(error.problems.empty());
    }
  }
  MESSAGE("grown " << grown << ", refused " << refused);
  CHECK(grown >= 250);
}

TEST_CASE("Hostile parameters: shares of a forecast stay within 0 and 1 and add up") {
  std::mt19937_64 engine(11);
  const auto land = make_land(2, {soil_of(0.40, 0.20), soil_of(0.25, 0.50)});
  std::vector<Climate> climates(2);
  climates[1] = {1500, 8.6, 6.2, 6.5, 4.2, 0.60, 0.10};
  const auto archive = make_archive(climates, Date(2001, 9, 1), Date(2008, 10, 31), 3);
  int made = 0;
  for (int round = 0; round < 120; ++round) {
    CAPTURE(round);
    auto season = make_season();
    disturb(season.parameters, quality_parameters(), engine);
    for (const char* ky : {"ky_to_stem_extension", "ky_to_heading", "ky_grain_fill"})
      if (round % 4 == 0) season.parameters.set(ky, 1.5);
    season.contracts = {contract("A", 500, 6.0, 1.48), contract("B", 300, 5.5, 1.60)};
    SeasonPatch patch;
    patch.temperature_shift_c = round % 3 - 1;
    patch.rain_factor[6] = round % 2 == 0 ? 0 : 3;
    try {
      const auto forecast = forecast_harvest(season, patch, land, archive, Growing{1});
      ++made;
      double weight = 0;
      for (double w : forecast.weights) weight += w;
      CHECK(std::abs(weight - 1) < 1e-12);
      for (const auto& row : forecast.contracts)
        for (const auto& grain : row.harvest) {
          CHECK(std::isfinite(grain.yield_t_ha));
          CHECK(grain.yield_t_ha >= 0);
          CHECK(std::isfinite(grain.n_pct));
          CHECK(std::isfinite(grain.ln_screenings));
          for (double share : {grain.germination_failure, grain.other_failure}) {
            CHECK(share >= 0);
            CHECK(share <= 1);
          }
          const auto bands = band_shares(band_limits(season, patch),
                                         {grain.n_pct, season.parameters["n_sigma_farm_pct"], grain.ln_screenings,
                                          season.parameters["screenings_sigma_ln"], grain.germination_failure, grain.other_failure});
          double sum = 0;
          for (double share :
               {bands.qualifying, bands.rejected_nitrogen, bands.rejected_screenings, bands.rejected_germination, bands.rejected_other}) {
            CHECK(share >= -1e-12);
            CHECK(share <= 1 + 1e-12);
            sum += share;
          }
          CHECK(std::abs(sum - 1) < 1e-9);
        }
    } catch (const InputError& error) {
      CHECK_FALSE(error.problems.empty());
    }
  }
  MESSAGE("forecasts made: " << made << " of 120");
  CHECK(made >= 60);
}
