#include "planner/document/parameter_assumptions.h"

#include <fmt/format.h>

namespace rickyard {

std::vector<PlanDocument::Assumption> parameter_assumptions(const Season& season) {
  std::vector<PlanDocument::Assumption> all;
  for (const auto& name : season.parameters.names()) {
    const auto& spec = season.parameters.spec(name);
    const bool user = season.parameters.set_by_user(name);
    all.push_back({name, fmt::format("{:.10g}", season.parameters[name]), std::string(spec.unit), user ? "yours" : std::string(spec.status),
                   user ? fmt::format("season.toml; default {:.10g}", spec.fallback) : std::string(spec.source)});
  }
  return all;
}

}  // namespace rickyard
