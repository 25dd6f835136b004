// Climate-model calendars all the way to dates of the crop: the same climate on real, 365-day and 360-day calendars.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <numbers>
#include <numeric>

#include "planner/crop/crop_run.h"
#include "planner/crop/parameters.h"
#include "planner/crop/season_windows.h"
#include "planner/weather/parameters.h"
#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

namespace {

struct ModelYear {
  const char* calendar;
  int bands;      // model days from 1 September 2001 to the last of October 2004
  double length;  // model days of a year
  int first;      // 1 September, days of the model year before it
};

// Three years from 1 September 2001 with the temperatures of a sine wave and 1.5 mm of rain every other model day.
GeoReading read_calendar(const ModelYear& year) {
  Scene scene;
  const auto mean_c = [year](int band) {
    const double share = std::fmod((year.first + band + 0.5) / year.length, 1.0);
    return 9.0 - 7.0 * std::cos(2 * std::numbers::pi * (share - 0.055));
  };
  Cube cube;
  cube.calendar = year.calendar;
  cube.time_unit = "days since 2001-09-01";
  cube.times.resize(static_cast<std::size_t>(year.bands));
  std::iota(cube.times.begin(), cube.times.end(), 0);
  cube.variables = {{"pr", "mm", {}, {}, {}, false, [](int band, int, int) { return band % 2 == 0 ? 1.5 : 0.0; }},
                    {"tn", "C", {}, {}, {}, false, [mean_c](int band, int, int) { return mean_c(band) - 4; }},
                    {"tx", "C", {}, {}, {}, false, [mean_c](int band, int, int) { return mean_c(band) + 4; }}};
  scene.season.rasters = {};
  for (const auto& [key, variable] : {std::pair{"rain", "pr"}, {"tmin", "tn"}, {"tmax", "tx"}}) {
    RasterSource source;
    source.path = "weather.nc";
    source.variable = variable;
    scene.season.rasters[key] = source;
  }
  scene.write();
  write_cube(scene.folder / "weather.nc", cube);
  return scene.read();
}

Season default_season() {
  std::vector<ParameterSpec> table(weather_parameters().begin(), weather_parameters().end());
  table.insert(table.end(), crop_parameters().begin(), crop_parameters().end());
  // Of quality, which this program does not link; the crop asks for it where the land's own crop is sown.
  table.push_back({"sowing_flat_days", 211, "d", 0, 365, "seen", "test", "days from the season's start"});
  return Season{ParameterSet(table)};
}

}  // namespace

TEST_CASE("A 360-day and a 365-day archive give the seasons and, within three days, the dates of the real calendar") {
  const ModelYear years[] = {{"standard", 1157, 365.2425, 243}, {"365_day", 1156, 365, 243}, {"360_day", 1140, 360, 240}};
  const Season season = default_season();
  std::optional<CropRecords> real;
  for (const auto& year : years) {
    CAPTURE(year.calendar);
    const auto reading = read_calendar(year);
    REQUIRE(lines(reading.problems) == "");
    REQUIRE(reading.daily.has_value());
    CHECK(to_text(reading.daily->first_day) == "2001-09-01");
    CHECK(reading.daily->days == 1157);  // to 31 October 2004, 29 February among them
    const auto windows = season_windows(season, *reading.daily, {{3, 31}});
    REQUIRE(windows.size() == 3);
    CHECK(windows[0].days == 426);
    CHECK(windows[2].days == 427);
    const auto records = run_crop(reading.land, *reading.daily, {{{3, 31}, {0}}}, season, {}, 1, nullptr);
    CHECK(records.harvest_years == std::vector<int>{2002, 2003, 2004});
    for (int y = 0; y < 3; ++y) {
      const auto& r = records.at(0, y, 0);
      CHECK(r.sown < r.emerged);
      CHECK(r.emerged < r.stem_extension);
      CHECK(r.stem_extension < r.heading);
      CHECK(r.heading < r.ripe);
      CHECK(r.ripe < r.harvested);
      const auto& b = records.balance(0, y, 0);
      CHECK(std::abs(r.rain_mm - b.et_mm - b.runoff_mm - b.drainage_mm - b.storage_change_mm) < 1e-9);
      if (!real) continue;
      const auto& of_real = real->at(0, y, 0);
      CHECK(std::abs(r.sown - of_real.sown) <= 3);
      CHECK(std::abs(r.emerged - of_real.emerged) <= 3);
      CHECK(std::abs(r.heading - of_real.heading) <= 3);
      CHECK(std::abs(r.ripe - of_real.ripe) <= 3);
      CHECK(std::abs(r.harvested - of_real.harvested) <= 3);
    }
    if (!real) real = records;
  }
}

TEST_CASE("A 360-day archive without its last model day of October has no whole last season") {
  // The model's 29 October is the real one (k 298 falls on day 302); the 30th would have brought the 31st with it.
  const auto reading = read_calendar({"360_day", 1139, 360, 240});
  REQUIRE(lines(reading.problems) == "");
  const Season season = default_season();
  CHECK(reading.daily->days == 1155);
  CHECK(season_windows(season, *reading.daily, {{3, 31}}).size() == 2);
}
