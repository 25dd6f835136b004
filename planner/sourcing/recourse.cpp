#include "planner/sourcing/recourse.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace rickyard {
namespace {

using std::size_t;

size_t at(int i) { return static_cast<size_t>(i); }

// Breach below this is rounding.
constexpr double kBreach = 1e-7;

LpProblem with_slack(const LpProblem& lp) {
  LpProblem out = lp;
  std::fill(out.cost.begin(), out.cost.end(), 0.0);
  for (int i = 0; i < lp.rows(); ++i) {
    if (!std::isinf(lp.row_lower[at(i)])) out.add(i, out.add_column(0, kNoBound, 1, "under"), 1);
    if (!std::isinf(lp.row_upper[at(i)])) out.add(i, out.add_column(0, kNoBound, 1, "over"), -1);
  }
  return out;
}

}  // namespace

Recourse::Recourse(const TwoStageScenario& scenario) : scenario_(scenario), lp_(scenario.lp) {
  for (const auto& e : scenario.linking) linking_rows_.push_back(e.row);
  std::sort(linking_rows_.begin(), linking_rows_.end());
  linking_rows_.erase(std::unique(linking_rows_.begin(), linking_rows_.end()), linking_rows_.end());
}

void Recourse::move_rows(WarmLp& lp, const std::vector<double>& x) {
  std::map<int, double> moved;
  for (const auto& e : scenario_.linking) moved[e.row] += e.value * x[at(e.column)];
  for (int row : linking_rows_) {
    const double by = moved[row];
    lp.set_row_bounds(row, scenario_.lp.row_lower[at(row)] - by, scenario_.lp.row_upper[at(row)] - by);
  }
}

// Any duals give a valid plane: each row at the bound its dual points to, each column at the bound its reduced cost points to.
// A reduced cost of the wrong sign (rounding) is paid for at the largest value the column can have.
Cut Recourse::cut_of(const LpProblem& problem, const double* duals, double largest) const {
  std::vector<double> y(duals, duals + problem.rows());
  Cut cut;
  for (int i = 0; i < problem.rows(); ++i) {
    const double lower = problem.row_lower[at(i)], upper = problem.row_upper[at(i)];
    if (y[at(i)] > 0 ? std::isinf(lower) : std::isinf(upper)) y[at(i)] = 0;
    if (y[at(i)] != 0) cut.constant += y[at(i)] * (y[at(i)] > 0 ? lower : upper);
  }
  std::vector<double> reduced = problem.cost;
  for (const auto& e : problem.entries) reduced[at(e.column)] -= y[at(e.row)] * e.value;
  for (int j = 0; j < problem.columns(); ++j) {
    const double d = reduced[at(j)];
    if (d > 0) cut.constant += d * std::max(problem.column_lower[at(j)], -largest);
    if (d < 0) cut.constant += d * std::min(problem.column_upper[at(j)], largest);
  }
  std::map<int, double> slope;
  for (const auto& e : scenario_.linking)
    if (y[at(e.row)] != 0) slope[e.column] -= y[at(e.row)] * e.value;
  cut.slope.assign(slope.begin(), slope.end());
  return cut;
}

Recourse::Answer Recourse::solve(const std::vector<double>& x) {
  move_rows(lp_, x);
  Answer out;
  out.status = lp_.solve();
  if (out.status == LpStatus::infeasible) {
    auto broken = least_breach(x);
    if (broken.status == LpStatus::infeasible) return broken;
    out.status = lp_.solve(kBreach);
  }
  if (out.status != LpStatus::optimal) return out;
  out.cost = scenario_.fixed_cost + lp_.objective();
  out.cut = cut_of(scenario_.lp, lp_.duals(), scenario_.largest);
  out.cut.constant += scenario_.fixed_cost;
  if (scenario_.first_cost.empty()) return out;
  std::map<int, double> slope(out.cut.slope.begin(), out.cut.slope.end());
  for (size_t j = 0; j < scenario_.first_cost.size(); ++j) {
    out.cost += scenario_.first_cost[j] * x[j];
    if (scenario_.first_cost[j] != 0) slope[static_cast<int>(j)] += scenario_.first_cost[j];
  }
  out.cut.slope.assign(slope.begin(), slope.end());
  return out;
}

void Recourse::start_from(const Recourse& other) {
  const auto &mine = scenario_.lp, &theirs = other.scenario_.lp;
  if (mine.rows() == theirs.rows() && mine.columns() == theirs.columns()) lp_.start_from(other.lp_);
}

Recourse::Answer Recourse::least_breach(const std::vector<double>& x) {
  if (breach_.empty()) {
    breakable_ = with_slack(scenario_.lp);
    breach_.emplace_back(breakable_);
  }
  auto& lp = breach_.front();
  move_rows(lp, x);
  Answer out;
  if (lp.solve() != LpStatus::optimal || lp.objective() < kBreach) return out;  // stopped: neither feasible nor shown to be broken
  out.status = LpStatus::infeasible;
  out.cut = cut_of(breakable_, lp.duals(), scenario_.largest);
  out.cut.feasibility = true;
  return out;
}

}  // namespace rickyard
