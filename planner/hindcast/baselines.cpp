#include "planner/hindcast/baselines.h"

#include <algorithm>

namespace rickyard {

std::optional<double> five_year_mean(const std::vector<OtherSeason>& record, int year, std::optional<int> without) {
  std::vector<OtherSeason> before, after;
  for (const auto& one : record) {
    if (one.year == year || one.year == without) continue;
    (one.year < year ? before : after).push_back(one);
  }
  std::sort(before.begin(), before.end(), [](const OtherSeason& a, const OtherSeason& b) { return a.year > b.year; });
  std::sort(after.begin(), after.end(), [](const OtherSeason& a, const OtherSeason& b) { return a.year < b.year; });
  before.insert(before.end(), after.begin(), after.end());
  if (before.empty()) return std::nullopt;
  before.resize(std::min<std::size_t>(before.size(), kMeanOf));
  double sum = 0;
  for (const auto& one : before) sum += one.value;
  return sum / static_cast<double>(before.size());
}

Baselines baselines(const std::vector<OtherSeason>& record, int year) {
  Baselines out;
  for (const auto& one : record)
    if (one.year != year) out.climatology.push_back(one.value);
  out.five_year_mean = five_year_mean(record, year);
  if (out.climatology.size() < 2 || !out.five_year_mean) return out;
  for (const auto& one : record) {
    if (one.year == year) continue;
    const auto mean = five_year_mean(record, one.year, year);
    if (mean && *mean > 0) out.five_year.push_back(*out.five_year_mean * one.value / *mean);
  }
  return out;
}

}  // namespace rickyard
