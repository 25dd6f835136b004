#include "reports/sowing_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "reports/plain_words.h"
#include "reports/sowing_words.h"

namespace rickyard {
namespace {

constexpr std::size_t kWidth = 100;

std::string place_name(const SowingAdvice& place) {
  std::string name = without_controls(place.name);
  if (place.at) name = fmt::format("{:.3f},{:.3f} in {}", (*place.at)[0], (*place.at)[1], name);
  return shortened(name, 26);
}

std::string padded(const std::string& text, std::size_t width) {
  const std::size_t n = letters(text);
  return n < width ? text + std::string(width - n, ' ') : text;
}

std::string trimmed(std::string text) { return text.erase(text.find_last_not_of(' ') + 1) + "\n"; }

std::string springs(const SowingDocument& d) {
  const bool any = std::any_of(d.sowing.begin(), d.sowing.end(), [](const auto& p) { return p.spring.has_value(); });
  if (!any) return "No workable days: model = formulas has no weather.\n";
  std::string text = trimmed(fmt::format("{:26}  {:^26}  {:>14}  {:>14}", "", "soil fit from", "workable days", "half drilled"));
  text +=
      trimmed(fmt::format("{:26}  {:>8}{:>9}{:>9}  {:>14}  {:>14}", "", "1 in 10", "middle", "9 in 10", "1 in 10 to 9", "middle spring"));
  for (const auto& place : d.sowing) {
    if (!place.spring) continue;
    const auto& s = *place.spring;
    text += trimmed(fmt::format("{}  {:>8}{:>9}{:>9}  {:>14}  {:>14}", padded(place_name(place), 26), day_words(s.first_workable.p10),
                                day_words(s.first_workable.p50), day_words(s.first_workable.p90),
                                fmt::format("{:.0f} to {:.0f}", s.workable_days.p10, s.workable_days.p90), day_words(s.half_sown.p50)));
  }
  const auto& first = *std::find_if(d.sowing.begin(), d.sowing.end(), [](const auto& p) { return p.spring.has_value(); })->spring;
  return text +
         wrapped(fmt::format("Workable days: from the earliest date of the contract to {}. {}", date_words(first.count_to), first.rule),
                 kWidth, "  ") +
         "\n";
}

const SowingDate* planned_date(const SowingAdvice& place) {
  const auto at = std::find_if(place.dates.begin(), place.dates.end(), [](const SowingDate& d) { return d.planned; });
  return at == place.dates.end() ? nullptr : &*at;
}

std::string curves(const SowingDocument& d) {
  std::string text = trimmed(fmt::format("{:26}  {:>8}  {:>15}  {:>21}  {:>10}  {:>9}", "", "planned", "qualifying t/ha",
                                         "a week later, t/ha (%)", "last", "most"));
  text += trimmed(fmt::format("{:26}  {:>8}  {:>15}  {:>22}  {:>10}  {:>9}", "", "date", "mean (1 in 10)", "", "sensible", "accepted"));
  for (const auto& place : d.sowing) {
    const auto* planned = planned_date(place);
    if (!planned) continue;
    const std::string later =
        planned->next_week ? fmt::format("{:+.2f} ({:+.1f} % yield)", planned->next_week->qualifying_t_ha, planned->next_week->yield_pct)
                           : "";
    const auto& last = place.last_sensible;
    text += trimmed(fmt::format("{}  {:>8}  {:>15}  {:>22}  {:>10}  {:>9}", padded(place_name(place), 26), day_words(planned->date),
                                fmt::format("{:.2f} ({:.2f})", planned->wait.qualifying_t_ha.mean, planned->wait.qualifying_t_ha.p10),
                                later, last ? (last->beyond ? "past " : "") + day_words(last->date) : "",
                                fmt::format("{:.0f} kg N", place.n_rate.best_middle_kg_ha)));
  }
  text += wrapped(
      "Most accepted: arithmetic on published slopes, the nitrogen rate among those tried with most qualifying t/ha; no dose. Local rules "
      "and a qualified adviser decide.",
      kWidth, "  ");
  return text + "\n";
}

}  // namespace

std::string sowing_text(const SowingDocument& d) {
  const bool daily = d.season.model == "daily";
  std::string text =
      fmt::format("Sowing for crop {}, as of {}: chances from {}, not orders.\n\n", d.season.crop_year, date_words(d.season.as_of),
                  daily ? fmt::format("{} past weather years", d.years.size()) : std::string("the closed formulas of the trade"));
  text += springs(d) + "\n" + curves(d);
  for (const auto& place : d.sowing)
    if (place.last_sensible)
      text += wrapped(fmt::format("{}: last sensible date {}: {}.", place_name(place), date_words(place.last_sensible->date),
                                  place.last_sensible->reason),
                      kWidth, "  ") +
              "\n";
  for (const auto& warning : d.warnings) text += wrapped("Note: " + without_controls(warning), kWidth, "  ") + "\n";
  return text;
}

}  // namespace rickyard
