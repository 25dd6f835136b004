#pragma once
// Named model parameters: default, unit, bounds, status and source in one row each.
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace rickyard {

/// One row of the parameter table. `status` is one of: seen, memory, practice, derived, judgement, placeholder.
struct ParameterSpec {
  std::string_view name;  // snake case with unit, e.g. "heat_threshold_c"
  double fallback;        // the default
  std::string_view unit;  // "1" for a pure number
  double min, max;        // inclusive bounds
  std::string_view status;
  std::string_view source;
  std::string_view meaning;
};

/// Values in force. Every known name has a value; the ones the user set are marked.
class ParameterSet {
 public:
  explicit ParameterSet(std::span<const ParameterSpec> table);

  /// Value of a known parameter; asserts on a name that is not in the table (our mistake, not the user's).
  double operator[](std::string_view name) const;
  bool known(std::string_view name) const;
  bool set_by_user(std::string_view name) const;
  const ParameterSpec& spec(std::string_view name) const;
  /// Sets a user's value; the name must be known. Bounds are checked by season_rules, not here.
  void set(std::string_view name, double value);
  /// Puts a value found from past deliveries in force; it does not count as set by the user.
  void set_from_data(std::string_view name, double value);
  /// Names in table order.
  const std::vector<std::string>& names() const { return names_; }

 private:
  struct Entry {
    ParameterSpec spec;
    double value;
    bool by_user;
  };
  std::map<std::string, Entry, std::less<>> entries_;
  std::vector<std::string> names_;
};

}  // namespace rickyard
