// Every score against another implementation (NumPy), on made-up records with unequal weights, ties and gaps between years.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/hindcast/record_maker.h"

namespace rickyard {
namespace {

struct Series {
  testing::MadeRecord made;
  Bootstrap bootstrap;
};

std::vector<Series> random_series() {
  std::vector<Series> out;
  std::mt19937_64 engine(77);
  const auto draw = [&] { return static_cast<double>(engine() >> 11) * 0x1p-53; };
  for (unsigned i = 0; i < 40; ++i) {
    Series s{testing::make_record({3 + static_cast<int>(i % 28), draw(), 0.3 + 1.5 * draw()}, 1000 + i, 31), {}};
    for (auto& one : s.made.cases)
      for (std::size_t m = 0; m < one.members.size(); ++m) {
        if (i % 3 == 0) one.weights[m] = m % 7 == 6 ? 0 : 0.2 + draw();
        if (i % 4 == 0) one.members[m] = std::round(one.members[m] / 20) * 20;  // ties
      }
    if (i % 5 == 0) {  // a gap of years
      for (std::size_t k = s.made.cases.size() / 2; k < s.made.cases.size(); ++k) {
        s.made.cases[k].year += 7;
        s.made.record[k].year += 7;
      }
      for (auto& one : s.made.cases) one.others = baselines(s.made.record, one.year);
    }
    s.bootstrap = {2027 + i, 60, i % 2 == 0 ? 0.90 : 0.8, i};
    out.push_back(std::move(s));
  }
  return out;
}

nlohmann::json in_numpy(const std::vector<Series>& all) {
  auto text = nlohmann::json::array();
  for (const auto& s : all) {
    nlohmann::json one = {
        {"seed", s.bootstrap.seed}, {"place", s.bootstrap.place}, {"replicates", s.bootstrap.replicates}, {"level", s.bootstrap.level}};
    one["record"] = nlohmann::json::array();
    for (const auto& other : s.made.record) one["record"].push_back({other.year, other.value});
    for (const auto& season : s.made.cases)
      one["seasons"].push_back(
          {{"year", season.year}, {"members", season.members}, {"weights", season.weights}, {"came", season.observed}});
    text.push_back(one);
  }
  const std::string path = std::string(RICKYARD_BINARY_DIR) + "/hindcast_cases.json";
  std::ofstream(path) << text.dump();
  const std::string command = "/usr/bin/python3 '" RICKYARD_SOURCE_DIR "/tests/hindcast/scores_reference.py' '" + path + "'";
  std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
  REQUIRE(pipe);
  std::string answer;
  char part[4096];
  while (const std::size_t n = std::fread(part, 1, sizeof part, pipe.get())) answer.append(part, n);
  return nlohmann::json::parse(answer);
}

}  // namespace

TEST_CASE("NumPy finds the same scores, bands, ranks, bootstrap intervals and verdicts") {
  const auto all = random_series();
  const auto expected = in_numpy(all);
  REQUIRE(expected.size() == all.size());
  for (std::size_t i = 0; i < all.size(); ++i) {
    CAPTURE(i);
    const Scores s = score_seasons(all[i].made.scores(), all[i].bootstrap, "t");
    const auto& e = expected[i];
    const auto same = [&](double found, const char* name) {
      CAPTURE(name);
      const double wanted = e[name].get<double>();
      CHECK(std::abs(found - wanted) <= 1e-9 * std::max(1.0, std::abs(wanted)));
    };
    CHECK(s.n == e["n"].get<int>());
    CHECK(s.hits == e["hits"].get<int>());
    CHECK(s.band.low == e["low"].get<int>());
    CHECK(s.band.high == e["high"].get<int>());
    CHECK(std::vector<int>(s.rank_histogram.begin(), s.rank_histogram.end()) == e["ranks"].get<std::vector<int>>());
    same(s.bias, "bias");
    same(s.rmse, "rmse");
    same(s.crps, "crps");
    same(*s.rmse_climatology, "rmse_climatology");
    same(*s.rmse_five_year_mean, "rmse_five");
    same(*s.crps_climatology, "crps_climatology");
    same(*s.crps_five_year_mean, "crps_five");
    same(*s.crpss_climatology, "skill_climatology");
    same(*s.crpss_five_year_mean, "skill_five");
    same(*s.gain, "gain");
    same(*s.gain_low, "gain_low");
    same(*s.gain_high, "gain_high");
    CHECK(verdict_words(s.verdict) == e["verdict"].get<std::string>());
  }
}

}  // namespace rickyard
