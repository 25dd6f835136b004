#include "planner/base/problem.h"

#include <algorithm>

namespace rickyard {

std::string to_text(const Problem& problem) {
  std::string text = problem.severity == Severity::error ? "error: " : problem.severity == Severity::warning ? "warning: " : "note: ";
  text += problem.place;
  if (!problem.value.empty()) text += ": \"" + problem.value + "\"";
  text += ": " + problem.message;
  if (!problem.remedy.empty()) text += "; " + problem.remedy;
  return text;
}

bool has_error(const std::vector<Problem>& problems) {
  return std::any_of(problems.begin(), problems.end(), [](const Problem& p) { return p.severity == Severity::error; });
}

InputError::InputError(std::vector<Problem> found)
    : std::runtime_error(found.empty() ? std::string("bad input") : to_text(found.front())), problems(std::move(found)) {}

}  // namespace rickyard
