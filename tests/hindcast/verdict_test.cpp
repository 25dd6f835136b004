// The verdict on made-up records of three kinds: skilful, useless, too short; and how often it errs.
#include <doctest/doctest.h>

#include <map>

#include "tests/hindcast/record_maker.h"

namespace rickyard {
namespace {

using testing::make_record;
using testing::RecordLaw;

Scores scores_of(const RecordLaw& law, unsigned seed) { return score_seasons(make_record(law, seed).scores(), {seed, 200, 0.90, 0}, "t"); }

// Verdicts of 300 records.
std::map<Verdict, int> verdicts(const RecordLaw& law) {
  std::map<Verdict, int> out;
  for (unsigned seed = 1; seed <= 300; ++seed) ++out[scores_of(law, seed).verdict];
  return out;
}

}  // namespace

TEST_CASE("A skilful record is good: by its words, its figures and its reason") {
  const Scores s = scores_of({30, 0.8, 1}, 5);
  CHECK(s.verdict == Verdict::good);
  CHECK(std::string(verdict_words(s.verdict)) == "good");
  CHECK(*s.crpss_five_year_mean > 0.3);
  CHECK(*s.gain_high < 0);
  CHECK(s.reason.find("surely nearer") != std::string::npos);
  auto many = verdicts({30, 0.8, 1});
  MESSAGE("30 skilful seasons: good in ", many[Verdict::good], " of 300");
  CHECK(many[Verdict::good] >= 285);
  auto eight = verdicts({8, 0.8, 1});
  MESSAGE("8 skilful seasons: good in ", eight[Verdict::good], " of 300");
  CHECK(eight[Verdict::good] >= 200);
}

TEST_CASE("A useless record, whose range is right and whose middle knows nothing, is no better than a five-year mean") {
  // It beats the five-year mean on average by knowing the true mean; nobody's forecast knows that, so its middle is a coin's.
  for (const int n : {8, 15, 30}) {
    int good = 0;
    for (unsigned seed = 1; seed <= 300; ++seed) {
      auto made = make_record({n, 0, 1}, seed);
      // The forecast of each season is that of the climatology of the others: what anybody has.
      for (auto& one : made.cases) {
        one.members = one.others.climatology;
        one.weights.assign(one.members.size(), 1.0);
        std::mt19937_64 engine(seed + static_cast<unsigned>(one.year));
        const double off = 60 * normal_quantile((static_cast<double>(engine() >> 11) + 0.5) * 0x1p-53);
        for (double& member : one.members) member += off;
      }
      good += score_seasons(made.scores(), {seed, 200, 0.90, 0}, "t").verdict == Verdict::good;
    }
    MESSAGE(n, " useless seasons: good in ", good, " of 300");
    CHECK(good <= 24);  // 5 % of 300 is 15; the bootstrap of a few seasons errs a little more
  }
}

TEST_CASE("Four seasons are too few, however well they went") {
  auto many = verdicts({4, 0.99, 1});
  CHECK(many[Verdict::too_few] == 300);
  const Scores s = scores_of({4, 0.99, 1}, 3);
  CHECK(std::string(verdict_words(s.verdict)) == "too few");
  CHECK(s.reason.find("fewer than 5 seasons tell nothing") != std::string::npos);
  CHECK(verdicts({5, 0.99, 1})[Verdict::too_few] == 0);
}

TEST_CASE("A better mean alone is not enough: neither without the interval nor outside the band") {
  Scores s;
  s.n = s.compared = 20;
  s.hits = 16;
  s.band = hit_band(20);
  s.gain = -5.0;
  s.gain_low = -11.0;
  s.gain_high = 0.5;
  CHECK(verdict_of(s) == Verdict::no_better);
  s.gain_high = -0.5;
  CHECK(verdict_of(s) == Verdict::good);
  s.hits = 11;
  CHECK(verdict_of(s) == Verdict::too_narrow);
  s.compared = 4;
  CHECK(verdict_of(s) == Verdict::too_few);
  s = {};
  CHECK(verdict_of(s) == Verdict::too_few);
}

TEST_CASE("Ranges half or twice as wide as they should be are found out") {
  auto narrow = verdicts({30, 0.8, 0.35}), wide = verdicts({40, 0.9, 2.2});
  MESSAGE("too narrow in ", narrow[Verdict::too_narrow], ", too wide in ", wide[Verdict::too_wide], " of 300");
  CHECK(narrow[Verdict::too_narrow] >= 240);
  CHECK(wide[Verdict::too_wide] >= 150);
}

TEST_CASE("No season, and seasons without rivals, score without a word too much") {
  const Scores none = score_seasons({}, {}, "t");
  CHECK(none.n == 0);
  CHECK(none.verdict == Verdict::too_few);
  const Scores one = scores_of({1, 0.5, 1}, 2);
  CHECK(one.n == 1);
  CHECK(one.compared == 0);
  CHECK_FALSE(one.crps_five_year_mean);
  CHECK_FALSE(one.gain);
}

}  // namespace rickyard
