#pragma once
// What a forecast must beat: the other seasons as they came (climatology), and a five-year mean with its own past errors around it.
#include <optional>
#include <vector>

namespace rickyard {

/// A record of one quantity per hectare, brought to the hectares of the season in question: other seasons and their values.
struct OtherSeason {
  int year = 0;
  double value = 0;
};

inline constexpr int kMeanOf = 5;  // seasons behind a five-year mean

struct Baselines {
  std::vector<double> climatology;       // values of the other seasons
  std::optional<double> five_year_mean;  // empty without another season
  std::vector<double> five_year;         // the mean with the errors that it made in other seasons; empty with fewer than two others
};

/// The mean of the five seasons of `record` that are nearest before `year`; where there are fewer, the nearest after it make up five; all
/// there are where they are fewer than five. Neither `year` nor `without` counts. Empty where nothing is left.
std::optional<double> five_year_mean(const std::vector<OtherSeason>& record, int year, std::optional<int> without = std::nullopt);

/// record: ascending years, may hold `year`, which never counts. Errors are ratios: value over the five-year mean that was made for it from
/// neither itself nor `year` (METHODS.md, "Hindcast").
Baselines baselines(const std::vector<OtherSeason>& record, int year);

}  // namespace rickyard
