#include "planner/hindcast/season_scores.h"

#include <fmt/format.h>

#include <cmath>

#include "planner/base/draws.h"
#include "planner/base/range.h"
#include "planner/base/scores.h"

namespace rickyard {
namespace {

double equal_crps(const std::vector<double>& members, double observed) {
  return crps(members, std::vector<double>(members.size(), 1.0), observed);
}

double mean_of(const std::vector<double>& values) {
  double sum = 0;
  for (double value : values) sum += value;
  return sum / static_cast<double>(values.size());
}

// Interval of the mean of differences, seasons drawn with replacement.
void bootstrap_gain(const std::vector<double>& differences, const Bootstrap& how, Scores& scores) {
  const std::size_t n = differences.size();
  scores.gain = mean_of(differences);
  if (n < 2) return;
  std::vector<double> means;
  for (int b = 0; b < how.replicates; ++b) {
    double sum = 0;
    for (std::size_t i = 0; i < n; ++i) {
      const double u =
          uniform_draw(how.seed, DrawPurpose::bootstrap, {how.place, static_cast<std::uint32_t>(b), static_cast<std::uint32_t>(i), 1});
      sum += differences[std::min(static_cast<std::size_t>(u * static_cast<double>(n)), n - 1)];
    }
    means.push_back(sum / static_cast<double>(n));
  }
  const std::vector<double> equal(means.size(), 1.0);
  scores.gain_low = weighted_quantile(means, equal, (1 - how.level) / 2);
  scores.gain_high = weighted_quantile(means, equal, 1 - (1 - how.level) / 2);
}

std::string reason_words(const Scores& s, const std::string& unit, double level) {
  if (s.n == 0) return "no season could be scored";
  const std::string hits = fmt::format("{} of {} season{} inside the range (8 in 10 should be; {} to {} would be no surprise)", s.hits, s.n,
                                       s.n == 1 ? "" : "s", s.band.low, s.band.high);
  if (s.n < kFewestSeasons) return fmt::format("{}; fewer than {} seasons tell nothing", hits, kFewestSeasons);
  if (!s.gain || !s.gain_low) return hits + "; no five-year mean to compare with";
  // In words of how much nearer than the five-year mean the forecast came.
  const double nearer = -*s.gain, low = -*s.gain_high, high = -*s.gain_low;
  const auto words = [&](double t) { return fmt::format("{:.3g} {} {}", std::abs(t), unit, t < 0 ? "farther off" : "nearer"); };
  if (low > 0)
    return fmt::format("{}; {} a season than a five-year mean, and surely nearer ({:.0f} % interval {:.3g} to {:.3g} {})", hits,
                       words(nearer), 100 * level, low, high, unit);
  return fmt::format("{}; {} a season than a five-year mean, but anything from {} to {} is possible ({:.0f} % interval)", hits,
                     words(nearer), words(low), words(high), 100 * level);
}

}  // namespace

int rank_among(const std::vector<double>& members, double observed) {
  int rank = 1;
  for (double member : members) rank += member < observed ? 1 : 0;
  return rank;
}

SeasonScore score_season(const SeasonCase& season) {
  SeasonScore score;
  score.forecast = weighted_range(season.members, season.weights);
  score.observed = season.observed;
  score.hit = season.observed >= score.forecast.p10 && season.observed <= score.forecast.p90;
  std::vector<double> deciles;
  for (int i = 1; i < kRankClasses; ++i)
    deciles.push_back(weighted_quantile(season.members, season.weights, static_cast<double>(i) / kRankClasses));
  score.rank_class = rank_among(deciles, season.observed);
  score.crps = crps(season.members, season.weights, season.observed);
  if (season.others.five_year.empty()) return score;
  score.climatology_mean = mean_of(season.others.climatology);
  score.five_year_mean = *season.others.five_year_mean;
  score.crps_climatology = equal_crps(season.others.climatology, season.observed);
  score.crps_five_year_mean = equal_crps(season.others.five_year, season.observed);
  return score;
}

const char* verdict_words(Verdict verdict) {
  switch (verdict) {
    case Verdict::too_few:
      return "too few";
    case Verdict::good:
      return "good";
    case Verdict::no_better:
      return "no better than a five-year mean";
    case Verdict::too_narrow:
      return "ranges too narrow";
    case Verdict::too_wide:
      return "ranges too wide";
  }
  return "";
}

Verdict verdict_of(const Scores& scores) {
  if (scores.n < kFewestSeasons || scores.compared < kFewestSeasons) return Verdict::too_few;
  if (!scores.gain_high || !(*scores.gain_high < 0)) return Verdict::no_better;
  if (scores.hits < scores.band.low) return Verdict::too_narrow;
  if (scores.hits > scores.band.high) return Verdict::too_wide;
  return Verdict::good;
}

Scores score_seasons(const std::vector<SeasonScore>& seasons, const Bootstrap& bootstrap, const std::string& unit) {
  Scores out;
  out.n = static_cast<int>(seasons.size());
  double squares = 0, squares_climatology = 0, squares_five = 0, crps_here = 0, crps_climatology = 0, crps_five = 0;
  std::vector<double> differences;
  for (const auto& one : seasons) {
    const double off = one.forecast.mean - one.observed, n = static_cast<double>(seasons.size());
    out.hits += one.hit ? 1 : 0;
    out.bias += off / n;
    out.mean_observed += one.observed / n;
    out.crps += one.crps / n;
    squares += off * off / n;
    ++out.rank_histogram[static_cast<std::size_t>(one.rank_class - 1)];
    if (!one.crps_five_year_mean) continue;
    const double off_climatology = one.climatology_mean - one.observed, off_five = one.five_year_mean - one.observed;
    squares_climatology += off_climatology * off_climatology;
    squares_five += off_five * off_five;
    crps_here += one.crps;
    crps_climatology += *one.crps_climatology;
    crps_five += *one.crps_five_year_mean;
    differences.push_back(one.crps - *one.crps_five_year_mean);
  }
  out.rmse = std::sqrt(squares);
  if (out.n > 0) out.band = hit_band(out.n);
  out.compared = static_cast<int>(differences.size());
  if (const auto n = static_cast<double>(differences.size()); n > 0) {
    out.rmse_climatology = std::sqrt(squares_climatology / n);
    out.rmse_five_year_mean = std::sqrt(squares_five / n);
    out.crps_climatology = crps_climatology / n;
    out.crps_five_year_mean = crps_five / n;
    if (crps_climatology > 0) out.crpss_climatology = 1 - crps_here / crps_climatology;
    if (crps_five > 0) out.crpss_five_year_mean = 1 - crps_here / crps_five;
    bootstrap_gain(differences, bootstrap, out);
  }
  out.verdict = verdict_of(out);
  out.reason = reason_words(out, unit, bootstrap.level);
  return out;
}

}  // namespace rickyard
