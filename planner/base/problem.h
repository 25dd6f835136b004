#pragma once
// What is shown to the user about an input: a place in a file, the value there, what is wrong, what to do.
#include <stdexcept>
#include <string>
#include <vector>

#include "planner/base/finding.h"

namespace rickyard {

struct Problem {
  Severity severity = Severity::error;
  std::string place;    // "contracts.csv:4:7 (yield_t_ha)", "season.toml:12:1 (spec.limit_n_pct)", "rain.tif: band 3"
  std::string value;    // as found, may be empty
  std::string message;  // what is wrong
  std::string remedy;   // what to do
};

/// "error: contracts.csv:4:7 (yield_t_ha): \"0.3\": outside 0.5 to 14 t/ha; give tonnes per hectare". One line.
std::string to_text(const Problem& problem);
bool has_error(const std::vector<Problem>& problems);

/// Bad input (exit code 3): every problem found so far.
struct InputError : std::runtime_error {
  explicit InputError(std::vector<Problem> found);
  std::vector<Problem> problems;
};

/// Hard rules that contradict each other (exit code 4).
struct ContradictionError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// A result could not be written (exit code 5).
struct OutputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

}  // namespace rickyard
