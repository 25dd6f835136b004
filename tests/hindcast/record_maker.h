#pragma once
// Made-up records of seasons and forecasts of them, of a known skill.
#include <cmath>
#include <random>
#include <vector>

#include "planner/base/normal.h"
#include "planner/hindcast/season_scores.h"

namespace rickyard::testing {

/// What came is 1000 + 100 (known + unknown), the two independent normals of variance `skill` and 1 - skill. The forecast knows the first
/// and gives the second as a range, `width` times as wide as it is.
struct RecordLaw {
  int seasons = 8;
  double skill = 0;
  double width = 1;
};

struct MadeRecord {
  std::vector<OtherSeason> record;
  std::vector<SeasonCase> cases;
  std::vector<SeasonScore> scores() const {
    std::vector<SeasonScore> out;
    for (const auto& one : cases) out.push_back(score_season(one));
    return out;
  }
};

inline MadeRecord make_record(const RecordLaw& law, unsigned seed, int members = 99) {
  std::mt19937_64 engine(seed);
  const auto normal = [&] { return normal_quantile((static_cast<double>(engine() >> 11) + 0.5) * 0x1p-53); };
  MadeRecord out;
  for (int i = 0; i < law.seasons; ++i) {
    const double known = std::sqrt(law.skill) * normal(), unknown = std::sqrt(1 - law.skill) * normal();
    SeasonCase one;
    one.year = 2000 + i;
    one.observed = 1000 + 100 * (known + unknown);
    for (int m = 0; m < members; ++m)
      one.members.push_back(1000 + 100 * (known + law.width * std::sqrt(1 - law.skill) * normal_quantile((m + 0.5) / members)));
    one.weights.assign(one.members.size(), 1.0);
    out.cases.push_back(std::move(one));
    out.record.push_back({2000 + i, out.cases.back().observed});
  }
  for (auto& one : out.cases) one.others = baselines(out.record, one.year);
  return out;
}

}  // namespace rickyard::testing
