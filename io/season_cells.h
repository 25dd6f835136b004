#pragma once
// One cell or key as text to one typed value: every way a number, date or word can be misspelled has its own message.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/problem_list.h"
#include "planner/base/calendar.h"
#include "planner/rules/season_fields.h"
#include "planner/rules/season_words.h"

namespace rickyard {

/// What is wrong with a text and what to do about it.
struct Fault {
  std::string message, remedy;
};

/// A value, or why there is none.
template <class T>
struct Parsed {
  std::optional<T> value;
  Fault fault;
};

/// A finite number in plain or exponent form, the whole text (std::from_chars, no locale).
Parsed<double> parse_number(std::string_view text);
/// A whole number in int's range.
Parsed<int> parse_whole(std::string_view text);
/// YYYY-MM-DD; from a sheet also YYYY/MM/DD, as OGR spells date cells.
Parsed<Date> parse_day(std::string_view text, bool sheet);
/// YYYY-MM; from a sheet also the first day of a month.
Parsed<Month> parse_plan_month(std::string_view text, bool sheet);
/// yes or no.
Parsed<bool> parse_yes_no(std::string_view text);
/// a;b;c with spaces trimmed; an empty part is a fault.
Parsed<std::vector<std::string>> parse_list(std::string_view text);
/// jan;feb or all, January first.
Parsed<std::array<bool, 12>> parse_months(std::string_view text);
/// The fault of a word that is not among the choices.
Fault wrong_word(std::string_view text, std::span<const std::string_view> choices);

template <class Enum>
Parsed<Enum> parse_word(std::string_view text) {
  if (const auto value = value_of_word<Enum>(text)) return {value, {}};
  std::vector<std::string_view> choices;
  for (const auto& word : words_of<Enum>()) choices.push_back(word.text);
  return {std::nullopt, wrong_word(text, choices)};
}

/// ", did you mean \"x\"?" or empty.
std::string did_you_mean(std::string_view text, std::span<const std::string_view> known);
/// "a, b or c".
std::string listed(std::span<const std::string_view> words);

}  // namespace rickyard
