// Need from a product plan (B1, B2, B3), price forms (B6) and claims on a load (B7). Figures: trade notes, section 6.
#include <doctest/doctest.h>

#include "planner/sourcing/claims.h"
#include "planner/sourcing/need.h"
#include "planner/supply/malting_yield.h"
#include "tests/sourcing/seasons.h"

using namespace rickyard;

namespace {

Season spirit_season(double lpa) {
  Season season = test::plain_season();
  season.plan_from = Month{2027, 11};
  season.plan_to = Month{2028, 10};
  DemandRow row;
  row.line = "spirit";
  row.amount = lpa;
  season.demand = {row};
  return season;
}

double in_month(const Need& need, const Month& month) {
  for (const auto& row : need.by_month)
    if (row.month == month) return row.amount;
  return -1;
}

}  // namespace

TEST_CASE("B1: barley need from a spirit plan") {
  // 1,000,000 LPA: no handling loss 2,439 t malt, 3,150.6 t barley; 0.5 % 2,451 and 3,166.
  Season season = spirit_season(1e6);
  auto need = compute_need(season, {});
  CHECK(need.spirit_lpa == doctest::Approx(1e6).epsilon(1e-12));
  CHECK(need.malt_t == doctest::Approx(2451).epsilon(0.5 / 2451));
  CHECK(need.barley_t == doctest::Approx(3166).epsilon(0.5 / 3166));
  season.parameters.set("malt_handling_loss_pct", 0);
  need = compute_need(season, {});
  CHECK(need.malt_t == doctest::Approx(2439).epsilon(0.5 / 2439));
  CHECK(need.barley_t == doctest::Approx(3150.6).epsilon(0.05 / 3150.6));
  REQUIRE(need.steps.size() == 8);
  CHECK(need.steps[0].factor == 410);
  CHECK(need.steps[0].status == "seen");
  CHECK(need.steps[2].status == "user");
  // 0.774 t malt per t barley (trade notes, 3.1).
  CHECK(need.steps[6].factor == doctest::Approx(0.774).epsilon(0.0005));
}

TEST_CASE("B1: grain at N 1.60 gives 4.5 litres less per tonne of malt than at 1.50") {
  const auto yield = malting_yield(test::plain_season());
  const double malt = malt_per_barley(yield, 0.96) * (1 - 0.005);
  CHECK(output_per_barley(yield, NeedUnit::spirit_lpa, 1.50, 0.96) - output_per_barley(yield, NeedUnit::spirit_lpa, 1.60, 0.96) ==
        doctest::Approx(4.5 * malt));
  CHECK(dressing_of(yield, 4) == doctest::Approx(0.95));
  CHECK(dressing_of(yield, 0.5) == doctest::Approx(0.98));
}

TEST_CASE("B2: a year by working days; July silent 21 of 31 days takes 10/31 of a full July") {
  Season season = spirit_season(365 - 21);  // one a working day
  season.parameters.set("barley_to_mash_days", 0);
  season.plan_from = Month{2027, 12};
  season.plan_to = Month{2028, 11};
  season.demand[0].amount = 366 - 21;  // a leap year
  auto need = compute_need(season, {});
  CHECK(in_month(need, {2028, 7}) == doctest::Approx(10));
  CHECK(in_month(need, {2028, 6}) == doctest::Approx(30));
  CHECK(in_month(need, {2028, 7}) / 31 == doctest::Approx(10.0 / 31));
  // Shifted six weeks: days of use from 20 May to 30 June, silent 1 to 21 July: barley from 20 May to 9 June rests.
  season.parameters.set("barley_to_mash_days", 42);
  need = compute_need(season, {});
  double sum = 0;
  for (const auto& row : need.by_month) sum += row.amount;
  CHECK(sum == doctest::Approx(season.demand[0].amount).epsilon(1e-12));
  CHECK(in_month(need, {2028, 7}) / in_month(need, {2028, 3}) == doctest::Approx(1));
  CHECK(in_month(need, {2028, 5}) / in_month(need, {2028, 3}) == doctest::Approx(19.0 / 31));
  CHECK(in_month(need, {2028, 6}) / in_month(need, {2028, 3}) == doctest::Approx(21.0 / 31));
}

TEST_CASE("B2: month rows move back by days and keep their sum") {
  Season season = spirit_season(0);
  season.demand.clear();
  DemandRow row;
  row.line = "spirit";
  row.month = Month{2028, 3};
  row.amount = 310;
  season.demand = {row};
  const auto need = compute_need(season, {});
  // 1-31 March less 42 days: 19 January to 18 February 2028.
  CHECK(in_month(need, {2028, 1}) == doctest::Approx(130));
  CHECK(in_month(need, {2028, 2}) == doctest::Approx(180));
  // Silent for its first 10 days: 21 days from 29 January on.
  season.demand[0].silent_days = 10;
  const auto rested = compute_need(season, {});
  CHECK(in_month(rested, {2028, 1}) == doctest::Approx(310.0 * 3 / 21));
  CHECK(in_month(rested, {2028, 2}) == doctest::Approx(310.0 * 18 / 21));
}

TEST_CASE("B3: the first day of spirit from new crop, and earlier use refused") {
  const Date harvest(2027, 8, 25);
  CHECK(first_spirit(harvest, 56, 35) == Date(2027, 11, 24));
  CHECK(first_spirit(harvest, 56, 42) == Date(2027, 12, 1));
  CHECK(first_use(harvest, 56) == Date(2027, 10, 20));
  CHECK_FALSE(refuse_early_use(Date(2027, 10, 20), harvest, 56).has_value());
  const auto refused = refuse_early_use(Date(2027, 10, 1), harvest, 56);
  REQUIRE(refused.has_value());
  CHECK(*refused == "grain cut on 2027-08-25 is dormant until 2027-10-20: 19 days too early");
}

TEST_CASE("B6: price forms at feed 150, 180, 220") {
  ContractRow fixed, plus, collar;
  fixed.price = 200;
  plus.price_form = PriceForm::feed_plus;
  plus.premium_per_t = 30;
  collar = plus;
  collar.price_form = PriceForm::collar;
  collar.price_floor = 170;
  collar.price_ceiling = 210;
  const double feed[] = {150, 180, 220}, of_plus[] = {180, 210, 250}, of_collar[] = {180, 210, 210};
  for (int i = 0; i < 3; ++i) {
    CHECK(contract_price_per_t(fixed, feed[i], 0) == 200);
    CHECK(contract_price_per_t(plus, feed[i], 0) == of_plus[i]);
    CHECK(contract_price_per_t(collar, feed[i], 0) == of_collar[i]);
  }
  CHECK(contract_price_per_t(collar, 100, 0) == 170);
}

TEST_CASE("B7: claims on a load, moisture, and a rejection counted once") {
  ClaimTerms terms;
  terms.limit_n_pct = 1.65;
  terms.stop_n_pct = 1.70;
  const auto claimed = apply_claims(terms, 28, 15.6, 1.69, 3);
  CHECK(claimed.reference_t == doctest::Approx(27.64).epsilon(0.005 / 27.64));
  CHECK(claimed.claim_per_t == doctest::Approx(4));
  CHECK_FALSE(claimed.rejected_for.has_value());
  const auto stopped = apply_claims(terms, 28, 15.6, 1.71, 14);  // past both maxima: one cause
  REQUIRE(stopped.rejected_for.has_value());
  CHECK(*stopped.rejected_for == "nitrogen");
  CHECK(stopped.claim_per_t == 0);
  CHECK_FALSE(apply_claims(terms, 28, 14.5, 1.70, 3).rejected_for.has_value());
  // Screenings 0.75 per 1 % above 4 %, rejected past 10 % (trade notes, 3.4).
  CHECK(apply_claims(terms, 28, 14.5, 1.60, 6).claim_per_t == doctest::Approx(1.5));
  CHECK(*apply_claims(terms, 28, 14.5, 1.60, 10.5).rejected_for == "screenings");
  // Grain at 10 % and 12 % moisture is worth 1.053 and 1.029 t (trade notes, section 4).
  CHECK(reference_tonnes(1, 10) == doctest::Approx(1.053).epsilon(0.0005));
  CHECK(reference_tonnes(1, 12) == doctest::Approx(1.029).epsilon(0.0005));
}
