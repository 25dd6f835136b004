#include "io/season_cells.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

namespace rickyard {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool all_digits(std::string_view text) { return !text.empty() && std::all_of(text.begin(), text.end(), is_digit); }

// "1,250" or "12 500.5" or "1'000": groups of three digits after the first separator.
bool has_groups(std::string_view text, std::string_view separator) {
  const auto point = text.find('.');
  std::string_view whole = text.substr(0, point);
  if (whole.starts_with('-')) whole.remove_prefix(1);
  bool first = true;
  while (true) {
    const auto at = whole.find(separator);
    const std::string_view group = whole.substr(0, at);
    if (!all_digits(group) || (first ? group.size() > 3 : group.size() != 3)) return false;
    if (at == std::string_view::npos) return !first;
    whole.remove_prefix(at + separator.size());
    first = false;
  }
}

bool any_groups(std::string_view text) {
  constexpr std::string_view kSeparators[] = {",", " ", "'", "\u00a0", "\u202f", "\u2009"};
  return std::any_of(std::begin(kSeparators), std::end(kSeparators), [&](std::string_view s) { return has_groups(text, s); });
}

bool has_decimal_comma(std::string_view text) {
  const auto comma = text.find(',');
  if (comma == std::string_view::npos || text.find(',', comma + 1) != std::string_view::npos) return false;
  std::string_view whole = text.substr(0, comma);
  if (whole.starts_with('-')) whole.remove_prefix(1);
  return all_digits(whole) && all_digits(text.substr(comma + 1));
}

Fault number_fault(std::string_view text) {
  if (any_groups(text))
    return has_decimal_comma(text)
               ? Fault{"a comma in a number is read neither as a decimal point nor as a thousand separator", "write 1250 or 1.25"}
               : Fault{"the number has a thousand separator", "write the digits without spaces, commas or quotes"};
  if (has_decimal_comma(text)) return {"the number has a decimal comma", "write a decimal point"};
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error == std::errc() && end != text.data() + text.size()) {
    const std::string rest(end, text.data() + text.size());
    if (std::none_of(rest.begin(), rest.end(), [](char c) { return is_digit(c); }))
      return {"there is text after the number", "leave units out; the column's name holds the unit"};
  }
  if (text.starts_with('+')) return {"the number begins with a plus sign", "leave the plus sign out"};
  return {"this is not a number", "write a number such as 5.9, or leave the cell empty where it is not known"};
}

// YYYY/MM/DD with an optional time of midnight, to YYYY-MM-DD.
std::string iso_of_sheet_date(std::string_view text) {
  if (text.size() >= 10 && text[4] == '/' && text[7] == '/') {
    const std::string_view time = text.substr(10);
    if (time.empty() || time == " 00:00:00" || time == " 00:00:00+00")
      return fmt::format("{}-{}-{}", text.substr(0, 4), text.substr(5, 2), text.substr(8, 2));
  }
  return std::string(text);
}

bool has_date_shape(std::string_view text) {
  return text.size() == 10 && text[4] == '-' && text[7] == '-' && all_digits(text.substr(0, 4)) && all_digits(text.substr(5, 2)) &&
         all_digits(text.substr(8, 2));
}

std::string_view trim(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

}  // namespace

Parsed<double> parse_number(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (end == text.data() + text.size() && !text.empty()) {
    if (error == std::errc::result_out_of_range)
      return {std::nullopt, {"the number is too large or too small to hold", "check the exponent"}};
    if (error == std::errc() && std::isfinite(value)) return {value, {}};
    if (error == std::errc())
      return {std::nullopt, {"this is not a finite number", "write a number, or leave the cell empty where it is not known"}};
  }
  return {std::nullopt, number_fault(text)};
}

Parsed<int> parse_whole(std::string_view text) {
  int value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (end == text.data() + text.size() && error == std::errc()) return {value, {}};
  const auto number = parse_number(text);
  if (!number.value) return {std::nullopt, number.fault};
  if (*number.value == std::floor(*number.value) && std::abs(*number.value) < 1e9) return {static_cast<int>(*number.value), {}};
  return {std::nullopt, {"this is not a whole number", "write a whole number"}};
}

Parsed<Date> parse_day(std::string_view text, bool sheet) {
  const std::string iso = sheet ? iso_of_sheet_date(text) : std::string(text);
  if (const auto date = parse_date(iso)) return {date, {}};
  if (has_date_shape(iso)) return {std::nullopt, {"there is no such day in the calendar", "write an existing day as YYYY-MM-DD"}};
  return {std::nullopt, {"this is not a date", "write dates as YYYY-MM-DD, for instance 2027-03-31"}};
}

Parsed<Month> parse_plan_month(std::string_view text, bool sheet) {
  if (const auto month = parse_month(text)) return {month, {}};
  if (const auto day = parse_date(sheet ? iso_of_sheet_date(text) : std::string()); day && day->day() == 1) return {month_of(*day), {}};
  return {std::nullopt, {"this is not a month", "write months as YYYY-MM, for instance 2027-03"}};
}

Parsed<bool> parse_yes_no(std::string_view text) {
  if (text == "yes") return {true, {}};
  if (text == "no") return {false, {}};
  return {std::nullopt, {"this is neither yes nor no", "write yes or no"}};
}

Parsed<std::vector<std::string>> parse_list(std::string_view text) {
  std::vector<std::string> parts;
  while (true) {
    const auto at = text.find(';');
    const std::string_view part = trim(text.substr(0, at));
    if (part.empty())
      return {std::nullopt, {"a part of the list is empty", "separate the parts by single semicolons, with none at the end"}};
    if (std::find(parts.begin(), parts.end(), part) != parts.end())
      return {std::nullopt, {"a part of the list is there twice", "name each part once"}};
    parts.emplace_back(part);
    if (at == std::string_view::npos) return {parts, {}};
    text.remove_prefix(at + 1);
  }
}

Parsed<std::array<bool, 12>> parse_months(std::string_view text) {
  std::array<bool, 12> months{};
  if (text == "all") {
    months.fill(true);
    return {months, {}};
  }
  const auto parts = parse_list(text);
  if (!parts.value) return {std::nullopt, parts.fault};
  for (const std::string& part : *parts.value) {
    const auto found = std::find(kMonthWords.begin(), kMonthWords.end(), part);
    if (found == kMonthWords.end())
      return {std::nullopt, {fmt::format("\"{}\" is not a month", printable(part)), "write months as jan;feb;mar, or all"}};
    months[static_cast<std::size_t>(found - kMonthWords.begin())] = true;
  }
  return {months, {}};
}

std::string listed(std::span<const std::string_view> words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) text += fmt::format("{}{}", i == 0 ? "" : i + 1 == words.size() ? " or " : ", ", words[i]);
  return text;
}

std::string did_you_mean(std::string_view text, std::span<const std::string_view> known) {
  const std::string_view near = nearest_name(text, known);
  return near.empty() ? std::string() : fmt::format("did you mean \"{}\"?", near);
}

Fault wrong_word(std::string_view text, std::span<const std::string_view> choices) {
  const std::string near = did_you_mean(text, choices);
  return {"the word is not known here", "write " + listed(choices) + (near.empty() ? "" : "; " + near)};
}

}  // namespace rickyard
