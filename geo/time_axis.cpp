#include "geo/time_axis.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <optional>

namespace rickyard {
namespace {

constexpr double kDaySlack = 1e-4;

std::string_view next_word(std::string_view& text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  const auto word = text.substr(0, text.find_first_of(" \t"));
  text.remove_prefix(word.size());
  return word;
}

double seconds_of_unit(std::string_view unit) {
  if (unit == "days" || unit == "day" || unit == "d") return 86400;
  if (unit == "hours" || unit == "hour" || unit == "h" || unit == "hr") return 3600;
  if (unit == "minutes" || unit == "minute" || unit == "min") return 60;
  if (unit == "seconds" || unit == "second" || unit == "s" || unit == "sec") return 1;
  return 0;
}

// A whole non-negative number up to the separator, which is taken as well.
std::optional<int> number_before(std::string_view& text, char separator) {
  const auto digits = text.substr(0, text.find(separator));
  int value = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (error != std::errc() || end != digits.data() + digits.size() || value < 0) return std::nullopt;
  text.remove_prefix(std::min(text.size(), digits.size() + 1));
  return value;
}

std::optional<ModelDate> parse_cf_date(std::string_view text) {
  const auto year = number_before(text, '-'), month = number_before(text, '-'), day = number_before(text, '-');
  if (!year || !month || !day || !text.empty()) return std::nullopt;
  return ModelDate{*year, *month, *day};
}

std::optional<double> parse_cf_clock(std::string_view text) {
  if (!text.empty() && text.back() == 'Z') text.remove_suffix(1);
  if (text.empty()) return 0;
  const auto hour = number_before(text, ':'), minute = number_before(text, ':');
  if (!hour || *hour > 24 || (minute && *minute > 59)) return std::nullopt;
  double second = 0;
  if (!text.empty()) {
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), second);
    if (error != std::errc() || end != text.data() + text.size() || !(second >= 0 && second < 61)) return std::nullopt;
  }
  return *hour * 3600.0 + minute.value_or(0) * 60.0 + second;
}

struct CfUnit {
  double seconds = 0;
  int reference_index = 0;
  double reference_seconds = 0;
};

std::variant<CfUnit, std::string> parse_cf_unit(std::string_view unit, ModelCalendar calendar) {
  std::string_view rest = unit;
  CfUnit out;
  out.seconds = seconds_of_unit(next_word(rest));
  if (out.seconds == 0 || next_word(rest) != "since")
    return std::string("is not of the form \"days since 1950-01-01\" (days, hours, minutes or seconds)");
  std::string_view date_word = next_word(rest), clock_word;
  if (const auto t = date_word.find('T'); t != std::string_view::npos) {
    clock_word = date_word.substr(t + 1);
    date_word = date_word.substr(0, t);
  } else {
    clock_word = next_word(rest);
  }
  const std::string_view zone = next_word(rest);
  if (!zone.empty() && zone != "UTC" && zone != "Z" && zone != "0:00" && zone != "+00:00" && zone != "00:00")
    return std::string("names a time zone other than UTC");
  const auto date = parse_cf_date(date_word);
  const auto clock = clock_word == "UTC" ? std::optional<double>(0) : parse_cf_clock(clock_word);
  // References before 1400 (some archives count from year 1) have no Gregorian date here.
  if (!date || !clock || !exists(calendar, *date)) return std::string("has a reference date that cannot be used (years 1400 to 9998)");
  if (calendar == ModelCalendar::gregorian && *date < ModelDate{1582, 10, 15})
    return std::string("has a reference date before the Gregorian calendar (15 October 1582)");
  out.reference_index = day_index(calendar, *date);
  out.reference_seconds = *clock;
  return out;
}

}  // namespace

std::variant<std::vector<ModelDate>, std::string> decode_cf_times(std::string_view unit, ModelCalendar calendar,
                                                                  std::span<const double> values) {
  const auto parsed = parse_cf_unit(unit, calendar);
  if (const auto* wrong = std::get_if<std::string>(&parsed)) return *wrong;
  const CfUnit& cf = std::get<CfUnit>(parsed);
  std::vector<ModelDate> dates;
  dates.reserve(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double days = std::floor((values[i] * cf.seconds + cf.reference_seconds) / 86400 + kDaySlack);
    if (!(std::abs(days) < 1e6)) return fmt::format("gives no usable date for time step {} (value {:g})", i + 1, values[i]);
    const int index = cf.reference_index + static_cast<int>(days);
    if (index < day_index(calendar, {1583, 1, 1}) || index > day_index(calendar, {9998, 1, 1}))
      return fmt::format("gives no usable date for time step {} (value {:g})", i + 1, values[i]);
    dates.push_back(date_of_index(calendar, index));
  }
  return dates;
}

std::variant<std::vector<ModelDate>, std::string> parse_date_lines(std::string_view text, ModelCalendar calendar) {
  std::vector<ModelDate> dates;
  int line_number = 0, blank_at = 0;
  while (!text.empty()) {
    auto line = text.substr(0, text.find('\n'));
    text.remove_prefix(std::min(text.size(), line.size() + 1));
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    ++line_number;
    if (line_number == 1 && line.substr(0, 3) == "\xEF\xBB\xBF") line.remove_prefix(3);
    if (line_number == 1 && line == "date") continue;
    if (line.empty()) {
      if (blank_at == 0) blank_at = line_number;
      continue;
    }
    if (blank_at != 0) return fmt::format("line {} is empty", blank_at);
    const bool month_only = line.size() == 7;
    const auto date = parse_cf_date(month_only ? std::string(line) + "-01" : std::string(line));
    if ((line.size() != 10 && !month_only) || !date || !exists(calendar, *date))
      return fmt::format("line {}: \"{}\" is not a date YYYY-MM-DD", line_number, line);
    dates.push_back(*date);
  }
  return dates;
}

AxisFault first_fault_in_days(ModelCalendar calendar, std::span<const ModelDate> dates) {
  for (std::size_t i = 1; i < dates.size(); ++i) {
    const int before = day_index(calendar, dates[i - 1]), here = day_index(calendar, dates[i]);
    const int band = static_cast<int>(i);
    if (here == before) return {band, fmt::format("{} comes twice", to_text(dates[i]))};
    if (here < before) return {band, fmt::format("{} comes after {}", to_text(dates[i]), to_text(dates[i - 1]))};
    if (here > before + 1)
      return {band,
              fmt::format("{} missing between {} and {}", here - before == 2 ? "1 day is" : fmt::format("{} days are", here - before - 1),
                          to_text(dates[i - 1]), to_text(dates[i]))};
  }
  return {};
}

AxisFault first_fault_in_months(std::span<const ModelDate> dates) {
  const auto index = [](const ModelDate& d) { return month_index({d.year, d.month}); };
  for (std::size_t i = 1; i < dates.size(); ++i) {
    const int before = index(dates[i - 1]), here = index(dates[i]);
    const auto text = [](const ModelDate& d) { return to_text(Month{d.year, d.month}); };
    const int band = static_cast<int>(i);
    if (here == before) return {band, fmt::format("{} comes twice", text(dates[i]))};
    if (here < before) return {band, fmt::format("{} comes after {}", text(dates[i]), text(dates[i - 1]))};
    if (here > before + 1)
      return {band, fmt::format("{} missing between {} and {}",
                                here - before == 2 ? "1 month is" : fmt::format("{} months are", here - before - 1), text(dates[i - 1]),
                                text(dates[i]))};
  }
  return {};
}

}  // namespace rickyard
