#pragma once
// Figures and dates in the words of a report, rounded for reading.
#include <string>
#include <string_view>

#include "planner/base/calendar.h"

namespace rickyard {

/// 1234567 -> "1,234,567".
std::string grouped(long long value);
/// Tonnes without the unit: to tens above 1,000, else whole; "under 1" between 0 and a half.
std::string tonnes_words(double t);
/// Money without the currency: three figures.
std::string money_words(double amount);
/// A share 0-1 as whole per cent: "43 %", "under 1 %", "over 99 %".
std::string percent_words(double share);
/// A chance 0-1 as "93 in 100", "none", "certain".
std::string chance_words(double chance);
/// "15 Feb 2027".
std::string date_words(const Date& date);
/// "March 2028".
std::string month_words(const Month& month);
/// The text without control characters, so that a name cannot steer a terminal.
std::string without_controls(std::string_view text);
/// Breaks at spaces so that no line is longer than `width` characters (UTF-8 code points); later lines start with `indent`.
std::string wrapped(const std::string& text, std::size_t width, const std::string& indent);

}  // namespace rickyard
