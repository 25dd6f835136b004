#include "planner/supply/shift_nodes.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace rickyard {

std::size_t ShiftNodes::count_for(double reach) { return 8 * static_cast<std::size_t>(std::ceil((20 + 7 * reach) / 8)); }

ShiftNodes::ShiftNodes(std::size_t count, double reach) {
  for (std::size_t j = 0; j < count; ++j) {
    angle_.push_back(std::numbers::pi * (static_cast<double>(j) + 0.5) / static_cast<double>(count));
    at_.push_back(reach * std::cos(angle_.back()));
  }
}

double ShiftNodes::tail(std::span<const double> values) const {
  double largest = 0;
  for (std::size_t order = at_.size() - 4; order < at_.size(); ++order) {
    double sum = 0;
    for (std::size_t j = 0; j < at_.size(); ++j) sum += values[j] * std::cos(static_cast<double>(order) * angle_[j]);
    largest = std::max(largest, std::abs(2 * sum / static_cast<double>(at_.size())));
  }
  return largest;
}

std::vector<double> ShiftNodes::weights(std::span<const double> shifts) const {
  std::vector<double> out(at_.size() * shifts.size(), 0), factor;
  for (std::size_t j = 0; j < at_.size(); ++j) factor.push_back((j % 2 == 0 ? 1 : -1) * std::sin(angle_[j]));
  for (std::size_t d = 0; d < shifts.size(); ++d) {
    const auto same = std::find(at_.begin(), at_.end(), shifts[d]);
    if (same != at_.end()) {
      out[static_cast<std::size_t>(same - at_.begin()) * shifts.size() + d] = 1;
      continue;
    }
    double sum = 0;
    for (std::size_t j = 0; j < at_.size(); ++j) {
      double& weight = out[j * shifts.size() + d];
      weight = factor[j] / (shifts[d] - at_[j]);
      sum += weight;
    }
    for (std::size_t j = 0; j < at_.size(); ++j) out[j * shifts.size() + d] /= sum;
  }
  return out;
}

}  // namespace rickyard
