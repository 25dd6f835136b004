#pragma once
// Collects problems with their places, so that a reader can go on after each one and still list them in file order.
#include <set>
#include <string>
#include <tuple>
#include <vector>

#include "planner/base/problem.h"

namespace rickyard {

/// "contracts.csv:4:7 (yield_t_ha)". row and column are 1-based; 0: not known.
struct Place {
  std::string file;
  int row = 0, column = 0;
  std::string name;
};
std::string to_text(const Place& place);

/// Text from a file on its way into a message: control characters and invalid UTF-8 replaced by '?', at most `longest` characters.
std::string printable(std::string_view text, std::size_t longest = 60);

class ProblemList {
 public:
  void add(Severity severity, Place place, std::string_view value, std::string message, std::string remedy);
  void error(Place place, std::string_view value, std::string message, std::string remedy) {
    add(Severity::error, std::move(place), value, std::move(message), std::move(remedy));
  }
  /// Whether an error at this file, row and name is listed already.
  bool has_error_at(const std::string& file, int row, const std::string& name) const { return errors_.contains({file, row, name}); }
  bool has_error() const { return !errors_.empty(); }
  /// Sorted by file, row, column, then in the order of adding; exact repeats dropped.
  std::vector<Problem> sorted() const;

 private:
  struct Placed {
    Place place;
    Problem problem;
  };
  std::vector<Placed> found_;
  std::set<std::tuple<std::string, int, std::string>> errors_;
};

}  // namespace rickyard
