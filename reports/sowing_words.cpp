#include "reports/sowing_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "reports/plain_words.h"

namespace rickyard {
namespace {

bool starts_letter(char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }

}  // namespace

std::string day_words(const std::optional<Date>& date) {
  if (!date) return "none";
  const std::string words = date_words(*date);
  return words.substr(0, words.rfind(' '));
}

std::size_t letters(std::string_view text) { return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), starts_letter)); }

std::string shortened(const std::string& text, std::size_t most) {
  if (letters(text) <= most) return text;
  std::size_t end = 0, n = 0;
  while (end < text.size() && (n + 1 < most || !starts_letter(text[end]))) n += starts_letter(text[end++]) ? 1 : 0;
  return text.substr(0, end) + "\u2026";
}

std::string html_text(std::string_view text) {
  std::string out;
  for (char c : without_controls(text)) {
    if (c == '&')
      out += "&amp;";
    else if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '"')
      out += "&quot;";
    else
      out += c;
  }
  return out;
}

std::string spring_sentence(const SowingAdvice& place) {
  if (!place.spring) return "Without weather nothing is said about workable days; the curve follows the closed formulas of the trade.";
  const auto& s = *place.spring;
  const std::size_t n = s.years.size();
  if (!s.first_workable.p50)
    return fmt::format("In most of {} past springs half of this land was never fit to drill before {}.", n, day_words(s.count_to));
  const std::string late = s.first_workable.p90 ? fmt::format("in 1 spring of 10 it was not fit before {}", day_words(s.first_workable.p90))
                                                : "in 1 spring of 10 it was never fit";
  return fmt::format("In half of {} past springs this land was fit to drill by {}; {}.", n, day_words(s.first_workable.p50), late);
}

std::string waiting_sentence(const SowingAdvice& place) {
  const auto planned = std::find_if(place.dates.begin(), place.dates.end(), [](const SowingDate& d) { return d.planned; });
  if (planned == place.dates.end()) return "";
  const auto& now = planned->wait;
  std::string text =
      fmt::format("Ready to drill on {}, {:.1f} t/ha qualify on average", day_words(planned->date), now.qualifying_t_ha.mean);
  if (place.spring)
    text += fmt::format(" (1 year in 10 below {:.1f}, 1 in 10 above {:.1f})", now.qualifying_t_ha.p10, now.qualifying_t_ha.p90);
  if (!planned->next_week) return text + ".";
  const auto& week = *planned->next_week;
  const long points = std::lround(100 * week.qualifying_share);
  return text + fmt::format("; ready a week later, {:+.2f} t/ha: yield {:+.1f} %, nitrogen {:+.2f} %, chance to qualify {}.",
                            week.qualifying_t_ha, week.yield_pct, week.n_pct,
                            points == 0 ? "unchanged" : fmt::format("{:+} in 100", points));
}

std::string last_sentence(const SowingAdvice& place) {
  if (!place.last_sensible) return "";
  const auto& last = *place.last_sensible;
  return last.beyond ? fmt::format("No date tried is too late by this measure: {}.", last.reason)
                     : fmt::format("Last sensible date: {}; {}.", day_words(last.date), last.reason);
}

}  // namespace rickyard
