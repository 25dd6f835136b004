#pragma once
// Scores of a row of past forecasts, and the verdict that follows from them. Pure arithmetic: knows no barley.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "planner/base/range.h"
#include "planner/hindcast/baselines.h"
#include "planner/hindcast/hit_band.h"

namespace rickyard {

inline constexpr int kFewestSeasons = 5;
inline constexpr int kRankClasses = 10;  // below the first decile of the forecast, between the first and the second, ...

/// One season as it was forecast and as it came, all in one unit.
struct SeasonCase {
  int year = 0;
  std::vector<double> members, weights;  // the forecast; members of weight 0 do not count
  double observed = 0;
  Baselines others;
};

/// Scores of one season.
struct SeasonScore {
  Range forecast;
  double observed = 0;
  bool hit = false;                                             // P10 <= observed <= P90
  int rank_class = 1;                                           // 1 + number of deciles of the forecast below what was observed: 1..10
  double crps = 0;                                              // base/scores.h
  std::optional<double> crps_climatology, crps_five_year_mean;  // empty with fewer than two other seasons
  double climatology_mean = 0, five_year_mean = 0;              // where those two are given
};
SeasonScore score_season(const SeasonCase& season);

/// Rank of an observation among members: 1 + number of members below it.
int rank_among(const std::vector<double>& members, double observed);

enum class Verdict { too_few, good, no_better, too_narrow, too_wide };
/// "too few", "good", "no better than a five-year mean", "ranges too narrow", "ranges too wide".
const char* verdict_words(Verdict verdict);

struct Scores {
  int n = 0, hits = 0;
  HitBand band;     // of hits; 0..0 with n = 0
  double bias = 0;  // mean of forecast mean less observed
  double mean_observed = 0;
  double rmse = 0, crps = 0;  // of forecast means; of whole forecasts
  int compared = 0;           // seasons with both baselines; the six figures below are over these
  std::optional<double> rmse_climatology, rmse_five_year_mean, crps_climatology, crps_five_year_mean;
  std::optional<double> crpss_climatology, crpss_five_year_mean;  // 1 - CRPS/CRPS of the baseline, over the same seasons
  /// Mean of CRPS less CRPS of the five-year mean, season by season, and its bootstrap interval: below 0 the forecast is better.
  std::optional<double> gain, gain_low, gain_high;
  std::array<int, kRankClasses> rank_histogram{};
  Verdict verdict = Verdict::too_few;
  std::string reason;  // a sentence with the figures the verdict follows from
};

/// How the bootstrap draws: `place` keeps the draws of one series apart from another's.
struct Bootstrap {
  unsigned seed = 1;
  int replicates = 1000;
  double level = 0.90;
  unsigned place = 0;
};

/// unit: of the figures, for the reason ("t").
Scores score_seasons(const std::vector<SeasonScore>& seasons, const Bootstrap& bootstrap, const std::string& unit);

/// The verdict of scores whose figures are filled: too few seasons; else, where the whole interval of `gain` lies below 0, good if the hits
/// lie in their band and too narrow or too wide if not; else no better. Never from a mean alone.
Verdict verdict_of(const Scores& scores);

}  // namespace rickyard
