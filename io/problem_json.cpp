#include "io/problem_json.h"

#include <nlohmann/json.hpp>

namespace rickyard {

std::string problems_json(const std::vector<Problem>& problems) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const auto& problem : problems) {
    const char* severity = problem.severity == Severity::error ? "error" : problem.severity == Severity::warning ? "warning" : "note";
    list.push_back({{"severity", severity},
                    {"place", problem.place},
                    {"value", problem.value},
                    {"message", problem.message},
                    {"remedy", problem.remedy}});
  }
  // Values come from the user's files: bytes that are not UTF-8 are replaced, never thrown on.
  return nlohmann::ordered_json{{"problems", list}}.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace rickyard
