#pragma once
// Time axes: CF "days since", dates of a sidecar file, whole years.
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "geo/calendar_map.h"

namespace rickyard {

/// Model dates of CF times, e.g. unit "hours since 1950-01-01 12:00:00". Parts of a day are cut off (with 1e-4 day of
/// slack for rounding). The string is what is wrong, for a message.
std::variant<std::vector<ModelDate>, std::string> decode_cf_times(std::string_view unit, ModelCalendar calendar,
                                                                  std::span<const double> values);

/// The dates of a sidecar: one YYYY-MM-DD (or YYYY-MM for monthly bands) a line; blank lines at the end and a header line that
/// reads "date" are allowed.
std::variant<std::vector<ModelDate>, std::string> parse_date_lines(std::string_view text, ModelCalendar calendar);

/// First place where days do not follow each other: the band (0-based) and what is wrong; -1 where all is well.
struct AxisFault {
  int band = -1;
  std::string what;
};
AxisFault first_fault_in_days(ModelCalendar calendar, std::span<const ModelDate> dates);
AxisFault first_fault_in_months(std::span<const ModelDate> dates);

}  // namespace rickyard
