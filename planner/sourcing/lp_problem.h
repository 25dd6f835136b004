#pragma once
// A linear programme in our own words: minimise cost x subject to row and column bounds.
#include <limits>
#include <string>
#include <vector>

namespace rickyard {

inline constexpr double kNoBound = std::numeric_limits<double>::infinity();

struct LpProblem {
  struct Entry {
    int row, column;
    double value;
  };
  std::vector<double> row_lower, row_upper, column_lower, column_upper, cost;
  std::vector<std::string> row_name, column_name;
  std::vector<Entry> entries;

  int rows() const { return static_cast<int>(row_lower.size()); }
  int columns() const { return static_cast<int>(column_lower.size()); }

  /// Bounds may be -kNoBound or kNoBound; lower <= upper. Returns the row's index.
  int add_row(double lower, double upper, std::string name);
  int add_column(double lower, double upper, double unit_cost, std::string name);
  /// One coefficient; zero is skipped; a pair (row, column) is given at most once.
  void add(int row, int column, double value);
};

enum class LpStatus { optimal, infeasible, unbounded, stopped };

struct LpSolution {
  LpStatus status = LpStatus::stopped;
  std::vector<double> value;            // [column]
  std::vector<double> stage_objective;  // of the problem's own cost, then of each tie-break, at their own solves
  long iterations = 0;
};

/// One solve of solve_in_order as it was done.
struct SolvedStage {
  LpProblem problem;
  std::vector<double> value, dual;  // [column], [row]
};

struct LpLimits {
  int max_iterations = 5'000'000;  // of all stages together; reaching it gives LpStatus::stopped
};

/// Minimises problem.cost, then each of `tie_breaks` ([column]) in turn over the optimal face of what came before.
/// The face is kept by fixing every column with a non-zero reduced cost and every row with a non-zero dual at the bound it
/// stands on, which is exact for any optimal dual; each solve starts from the basis of the one before, the first from
/// the basis of slacks. Deterministic. With `trace`, each stage is appended as it was solved.
LpSolution solve_in_order(const LpProblem& problem, const std::vector<std::vector<double>>& tie_breaks, const LpLimits& limits = {},
                          std::vector<SolvedStage>* trace = nullptr);

}  // namespace rickyard
