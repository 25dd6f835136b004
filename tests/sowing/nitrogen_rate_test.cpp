#include <doctest/doctest.h>

#include <array>

#include "planner/quality/forecast_by_formulas.h"
#include "planner/sowing/nitrogen_rate.h"
#include "planner/sowing/year_figures.h"
#include "tests/sowing/sowing_season.h"

using namespace rickyard;
using namespace rickyard::testing;

namespace {

RateWhatIf what_if_of_a(Season season = sowing_season(ForecastModel::formulas)) {
  const Season one = one_hectare(season, 0);
  const auto forecast = forecast_by_formulas(one, {});
  return rate_what_if(one, forecast, forecast.weights);
}

const RateRow& row_at(const RateWhatIf& what, double change_kg_ha) {
  for (const auto& row : what.rows)
    if (row.change_kg_ha == change_kg_ha) return row;
  throw std::out_of_range("no such rate");
}

}  // namespace

TEST_CASE("Rates that go with a yield reproduce AHDB RB209 Section 4 (June 2023), Table 4.23") {
  // Spring barley, kg N/ha by yield (rows) and soil nitrogen supply index 0..6; base + 20 (Y - 7).
  struct Row {
    double yield_t_ha;
    std::array<double, 7> kg_ha;
  };
  constexpr std::array<double, 7> kAtSeven = {160, 140, 110, 70, 30, 0, 0};
  constexpr std::array<Row, 5> kTable = {{{4, {100, 80, 50, 0, 0, 0, 0}},
                                          {5, {120, 100, 70, 30, 0, 0, 0}},
                                          {6, {140, 120, 90, 50, 0, 0, 0}},
                                          {8, {180, 160, 130, 90, 50, 0, 0}},
                                          {9, {200, 180, 150, 110, 70, 0, 0}}}};
  int matched = 0, small = 0;
  for (const auto& row : kTable)
    for (std::size_t sns = 0; sns < 7; ++sns) {
      if (kAtSeven[sns] == 0) continue;  // no rate to move: the table keeps 0
      const double rate = rate_of_yield(kAtSeven[sns], 7, row.yield_t_ha, 20);
      // Where the sum is 10 the table prints 0 (4 t at index 3, 6 t at index 4).
      if (rate == doctest::Approx(10)) {
        CHECK(row.kg_ha[sns] == 0);
        ++small;
        continue;
      }
      CHECK_MESSAGE(rate == doctest::Approx(row.kg_ha[sns]), row.yield_t_ha, " t/ha, index ", sns);
      ++matched;
    }
  CHECK(matched == 23);
  CHECK(small == 2);
}

TEST_CASE("The same read backwards, held inside the table's yields") {
  CHECK(yield_of_rate(7, 10, 20, 4, 9) == doctest::Approx(7.5));  // 10 kg per 0.5 t/ha
  CHECK(yield_of_rate(7, -60, 20, 4, 9) == doctest::Approx(4));
  CHECK(yield_of_rate(8.5, 60, 20, 4, 9) == doctest::Approx(9));
  CHECK(yield_of_rate(9.5, 60, 20, 4, 9) == doctest::Approx(9.5));  // above the table already: no further
  CHECK(yield_of_rate(3, -20, 20, 4, 9) == doctest::Approx(3));
  CHECK(yield_of_rate(3, 60, 20, 4, 9) == doctest::Approx(6));
}

TEST_CASE("L3: 30 kg more raise nitrogen by 0.10 and the chance falls from 0.88 to 0.65; 15 and 50 kg per tenth beside it") {
  const auto what = what_if_of_a();
  // Trade notes, formula 6: sigma 0.13, limit 1.65: N 1.50 gives 0.88, 1.60 gives 0.65; tolerance is their rounding.
  CHECK(row_at(what, 0).middle.n_share == doctest::Approx(0.88).epsilon(0.006));
  CHECK(row_at(what, 30).middle.n_share == doctest::Approx(0.65).epsilon(0.006));
  CHECK(row_at(what, 30).middle.n_pct - row_at(what, 0).middle.n_pct == doctest::Approx(0.10).epsilon(1e-9));
  CHECK(what.kg_per_tenth_strong == 15);
  CHECK(what.kg_per_tenth_weak == 50);
  CHECK(row_at(what, 30).strong.n_pct - row_at(what, 0).strong.n_pct == doctest::Approx(0.20).epsilon(1e-9));
  CHECK(row_at(what, 30).weak.n_pct - row_at(what, 0).weak.n_pct == doctest::Approx(0.06).epsilon(1e-9));
  for (const char* words : {"It is no dose", "qualified adviser", "local rules"})
    CHECK_MESSAGE(what.words.find(words) != std::string::npos, what.words);
  CHECK(what.words.find("should") == std::string::npos);
}

TEST_CASE("Hand check: from 130 kg at 1.80 % to 1.65 % is 45 kg less (check values 6.5)") {
  Season season = sowing_season(ForecastModel::formulas);
  season.contracts[0].typical_n_pct = 1.80;
  season.contracts[0].n_rate_kg_ha = season.parameters["n_rate_reference_kg_ha"];
  const auto what = what_if_of_a(season);
  const double slope = (row_at(what, 60).middle.n_pct - row_at(what, -60).middle.n_pct) / 120;
  CHECK(130 - (1.80 - 1.65) / slope == doctest::Approx(85).epsilon(1e-9));
}

TEST_CASE("Accepted is yield times the share that qualifies, and the best rate is the largest of the rows") {
  const auto what = what_if_of_a();
  CHECK(what.rows.size() == 13);
  double most = 0, best = 0;
  for (const auto& row : what.rows) {
    CHECK(row.middle.accepted_t_ha == doctest::Approx(row.yield_t_ha * row.middle.qualifying_share).epsilon(1e-9));
    if (!row.at_table_end) CHECK(row.yield_t_ha == doctest::Approx(6.0 + row.change_kg_ha / 20));
    if (row.middle.accepted_t_ha > most) {
      most = row.middle.accepted_t_ha;
      best = row.n_rate_kg_ha;
    }
  }
  CHECK(what.best_middle_kg_ha == best);
  CHECK(what.best_strong_kg_ha <= what.best_middle_kg_ha);
  CHECK(what.best_middle_kg_ha <= what.best_weak_kg_ha);
}

TEST_CASE("No rate below nothing") {
  Season season = sowing_season(ForecastModel::formulas);
  season.contracts[0].n_rate_kg_ha = 25;
  const auto what = what_if_of_a(season);
  CHECK(what.rows.front().n_rate_kg_ha == 5);
  CHECK(what.rows.size() == 9);
}
