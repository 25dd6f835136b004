#include "planner/sourcing/cut_master.h"

#include <algorithm>
#include <cmath>

namespace rickyard {
namespace {

using std::size_t;

size_t at(int i) { return static_cast<size_t>(i); }

constexpr double kTouches = 1e-9;  // relative slack at which a plane counts as part of the answer
constexpr int kIdleRounds = 6;

}  // namespace

CutMaster::CutMaster(const TwoStage& problem)
    : first_(problem.first), integer_(problem.integer), tie_(problem.tie_cost), lambda_(problem.lambda), alpha_(problem.alpha) {
  for (const auto& s : problem.scenarios) weight_.push_back(s.weight);
  own_.resize(weight_.size());
  for (int j = 0; j < static_cast<int>(problem.owner.size()); ++j)
    if (integer_[at(j)] && problem.owner[at(j)] >= 0) own_[at(problem.owner[at(j)])].push_back(j);
  has_plane_.assign(weight_.size(), 0);
  without_plane_ = static_cast<int>(weight_.size());
}

bool CutMaster::has_integers() const {
  return std::any_of(integer_.begin(), integer_.end(), [](char c) { return c != 0; });
}

int CutMaster::owned_integers() const {
  int sum = 0;
  for (const auto& own : own_) sum += static_cast<int>(own.size());
  return sum;
}

double CutMaster::tie_cost(const std::vector<double>& x) const {
  double sum = 0;
  for (size_t j = 0; j < x.size(); ++j) sum += tie_[j] * x[j];
  return sum;
}

double CutMaster::own_cost(const std::vector<double>& x) const {
  double sum = tie_cost(x);
  for (size_t j = 0; j < x.size(); ++j) sum += (1 + lambda_) * first_.cost[j] * x[j];
  return sum;
}

// A scenario's estimate counts from its first plane on; before that it stands at 0.
LpProblem CutMaster::problem() const {
  LpProblem out;
  const auto scenarios = static_cast<int>(weight_.size());
  for (int j = 0; j < first_.columns(); ++j)
    out.add_column(first_.column_lower[at(j)], first_.column_upper[at(j)], (1 + lambda_) * first_.cost[at(j)] + tie_[at(j)], "x");
  const bool tail = lambda_ > 0;
  const int eta = out.add_column(tail ? -kNoBound : 0, tail ? kNoBound : 0, lambda_, "eta");
  for (int s = 0; s < scenarios; ++s)
    out.add_column(has_plane_[at(s)] ? -kNoBound : 0, has_plane_[at(s)] ? kNoBound : 0, weight_[at(s)], "estimate");
  for (int i = 0; i < first_.rows(); ++i) out.add_row(first_.row_lower[at(i)], first_.row_upper[at(i)], "first");
  for (const auto& e : first_.entries) out.add(e.row, e.column, e.value);
  for (int s = 0; tail && s < scenarios; ++s) {
    const int excess = out.add_column(0, kNoBound, lambda_ * weight_[at(s)] / (1 - alpha_), "excess");
    const int row = out.add_row(0, kNoBound, "tail");
    out.add(row, excess, 1);
    out.add(row, eta, 1);
    out.add(row, estimate_column(s), -1);
  }
  std::vector<int> column;
  std::vector<double> value;
  for (const auto& plane : planes_) {
    double lower = 0, upper = 0;
    plane_row(plane, column, value, lower, upper);
    const int row = out.add_row(lower, upper, "plane");
    for (size_t k = 0; k < column.size(); ++k) out.add(row, column[k], value[k]);
  }
  return out;
}

void CutMaster::plane_row(const Plane& plane, std::vector<int>& column, std::vector<double>& value, double& lower, double& upper) const {
  column.clear();
  value.clear();
  for (const auto& [j, per_unit] : plane.cut.slope) {
    column.push_back(j);
    value.push_back(-per_unit);
  }
  lower = plane.cut.constant;
  upper = kNoBound;
  if (!plane.cut.feasibility) {
    column.push_back(estimate_column(plane.scenario));
    value.push_back(1);
  }
}

void CutMaster::add(int scenario, const Cut& cut) {
  planes_.push_back({scenario, cut, 0});
  const bool first = !cut.feasibility && !has_plane_[at(scenario)];
  if (first) {
    has_plane_[at(scenario)] = 1;
    --without_plane_;
  }
  if (!lp_) return;
  if (first) lp_->set_column_bounds(estimate_column(scenario), -kNoBound, kNoBound);
  std::vector<int> column;
  std::vector<double> value;
  double lower = 0, upper = 0;
  plane_row(planes_.back(), column, value, lower, upper);
  lp_->add_row(lower, upper, column, value);
}

void CutMaster::load() {
  if (!lp_) lp_.emplace(problem());
}

CutMaster::Answer CutMaster::answer_of(const double* values, double objective) const {
  Answer out;
  out.status = LpStatus::optimal;
  out.objective = objective;
  out.x.assign(values, values + first_.columns());
  for (size_t j = 0; j < out.x.size(); ++j) out.x[j] = std::clamp(out.x[j], first_.column_lower[j], first_.column_upper[j]);
  out.estimate.assign(values + estimate_column(0), values + estimate_column(0) + weight_.size());
  return out;
}

CutMaster::Answer CutMaster::solve(const std::vector<double>& lower, const std::vector<double>& upper) {
  load();
  for (int j = 0; j < first_.columns(); ++j) lp_->set_column_bounds(j, lower[at(j)], upper[at(j)]);
  Answer out;
  out.status = lp_->solve();
  if (out.status != LpStatus::optimal) return out;
  out = answer_of(lp_->values(), lp_->objective());
  const size_t base = at(first_.rows()) + (lambda_ > 0 ? weight_.size() : 0);
  for (size_t k = 0; k < planes_.size(); ++k) {
    auto& plane = planes_[k];
    const double activity = lp_->activity()[base + k];
    plane.idle = activity - plane.cut.constant <= kTouches * (1 + std::abs(plane.cut.constant)) ? 0 : plane.idle + 1;
  }
  return out;
}

CutMaster::IntegerAnswer CutMaster::solve_integer(double gap, int max_nodes, bool own_too) {
  const LpProblem whole = problem();
  std::vector<char> integer(static_cast<size_t>(whole.columns()), 0);
  std::copy(integer_.begin(), integer_.end(), integer.begin());
  for (const auto& own : own_)
    for (int j : own) integer[at(j)] = own_too ? 1 : 0;
  const auto solved = rickyard::solve_integer(whole, integer, gap, max_nodes);
  IntegerAnswer out;
  if (solved.value.empty()) {
    out.answer.status = solved.status;
    return out;
  }
  out.answer = answer_of(solved.value.data(), solved.objective);
  out.bound = solved.bound;
  return out;
}

std::vector<double> CutMaster::estimates(const std::vector<double>& x) const {
  std::vector<double> most(weight_.size(), -kNoBound);
  for (const auto& plane : planes_)
    if (!plane.cut.feasibility) most[at(plane.scenario)] = std::max(most[at(plane.scenario)], plane.cut.at(x));
  return most;
}

std::vector<double> CutMaster::choose_own(int scenario, const std::vector<double>& x) const {
  const double weight = weight_[at(scenario)] > 0 ? weight_[at(scenario)] : 1;  // of no weight: any choice that its planes allow
  // estimate + own columns; every plane with the rest of x counted into its constant
  LpProblem small;
  const int estimate = small.add_column(-kNoBound, kNoBound, 1, "estimate");
  std::vector<char> integer{0};
  std::vector<int> place(at(first_.columns()), -1);
  for (int j : own_[at(scenario)]) {
    place[at(j)] = small.add_column(first_.column_lower[at(j)], first_.column_upper[at(j)], tie_[at(j)] / weight, "own");
    integer.push_back(1);
  }
  for (const auto& plane : planes_) {
    if (plane.scenario != scenario) continue;
    double constant = plane.cut.constant;
    const int row = small.add_row(0, kNoBound, "plane");
    for (const auto& [j, per_unit] : plane.cut.slope) {
      if (place[at(j)] < 0)
        constant += per_unit * x[at(j)];
      else
        small.add(row, place[at(j)], -per_unit);
    }
    small.row_lower[at(row)] = constant;
    if (!plane.cut.feasibility) small.add(row, estimate, 1);
  }
  const auto solved = rickyard::solve_integer(small, integer, 1e-9, 10'000);
  std::vector<double> chosen;
  if (!solved.value.empty()) chosen.assign(solved.value.begin() + 1, solved.value.end());
  return chosen;
}

void CutMaster::forget_idle() {
  if (planes_.size() < 6 * weight_.size()) return;
  std::vector<int> rows;
  const int base = first_.rows() + (lambda_ > 0 ? static_cast<int>(weight_.size()) : 0);
  std::vector<Plane> kept;
  for (size_t k = 0; k < planes_.size(); ++k)
    if (planes_[k].idle > kIdleRounds)
      rows.push_back(base + static_cast<int>(k));
    else
      kept.push_back(std::move(planes_[k]));
  planes_ = std::move(kept);
  if (lp_) lp_->remove_rows(rows);
}

void CutMaster::set_risk(double lambda, double alpha) {
  if (lambda == lambda_ && alpha == alpha_) return;
  lambda_ = lambda;
  alpha_ = alpha;
  lp_.reset();
}

void CutMaster::set_weights(const std::vector<double>& weight) {
  if (weight == weight_) return;
  weight_ = weight;
  lp_.reset();
}

void CutMaster::set_first_bounds(int column, double lower, double upper) {
  first_.column_lower[at(column)] = lower;
  first_.column_upper[at(column)] = upper;
}

void CutMaster::set_first_row(int row, double lower, double upper) {
  first_.row_lower[at(row)] = lower;
  first_.row_upper[at(row)] = upper;
  if (lp_) lp_->set_row_bounds(row, lower, upper);
}

}  // namespace rickyard
