#include "planner/base/parameters.h"

#include <cassert>

namespace rickyard {

ParameterSet::ParameterSet(std::span<const ParameterSpec> table) {
  for (const auto& spec : table) {
    [[maybe_unused]] const bool fresh = entries_.emplace(std::string(spec.name), Entry{spec, spec.fallback, false}).second;
    assert(fresh && "two parameters share a name");
    names_.emplace_back(spec.name);
  }
}

double ParameterSet::operator[](std::string_view name) const {
  const auto found = entries_.find(name);
  assert(found != entries_.end() && "unknown parameter");
  return found->second.value;
}

bool ParameterSet::known(std::string_view name) const { return entries_.contains(name); }
bool ParameterSet::set_by_user(std::string_view name) const { return entries_.find(name)->second.by_user; }
const ParameterSpec& ParameterSet::spec(std::string_view name) const { return entries_.find(name)->second.spec; }

void ParameterSet::set(std::string_view name, double value) {
  const auto found = entries_.find(name);
  assert(found != entries_.end() && "unknown parameter");
  found->second.value = value;
  found->second.by_user = true;
}

void ParameterSet::set_from_data(std::string_view name, double value) {
  const auto found = entries_.find(name);
  assert(found != entries_.end() && "unknown parameter");
  found->second.value = value;
}

}  // namespace rickyard
