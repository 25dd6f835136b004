#include "planner/sowing/advice_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "planner/quality/season_in_hand.h"
#include "planner/sowing/year_figures.h"

namespace rickyard {
namespace {

// "5 May".
std::string spoken(const Date& date) {
  constexpr std::array kMonths = {"January", "February", "March",     "April",   "May",      "June",
                                  "July",    "August",   "September", "October", "November", "December"};
  return fmt::format("{} {}", date.day().as_number(), kMonths[static_cast<std::size_t>(date.month().as_number() - 1)]);
}

double mean_t_ha(const SowingDate& date) { return date.wait.qualifying_t_ha.mean; }

// Which of yield and share carries more of a fall from the best date.
std::string fall_words(const SowingDate& best, const SowingDate& later) {
  const SowingChange fall = change(best.wait, later.wait);
  const double share_pct = best.wait.qualifying_share.mean > 0 ? 100 * fall.qualifying_share / best.wait.qualifying_share.mean : 0;
  const bool by_yield = fall.yield_pct <= share_pct;
  return fmt::format("mostly {}: yield {:+.0f} %, share that qualifies {:+.0f} points", by_yield ? "yield" : "quality", fall.yield_pct,
                     100 * fall.qualifying_share);
}

}  // namespace

std::vector<std::string> place_notes(const Season& season, const SowingPlace& place) {
  std::vector<std::string> notes;
  const auto rows =
      std::count_if(season.contracts.begin(), season.contracts.end(), [&](const ContractRow& row) { return row.region == place.region; });
  const auto& row = season.contracts[place.contract];
  if (rows > 1) notes.push_back(fmt::format("figures are those of contract {}, the first of {} in this region", row.contract, rows));
  if (known_sowing(season, row))
    notes.push_back(
        fmt::format("already sown, on {} on average: the dates below show what other dates would have given", to_text(*row.sown)));
  if (place.at) notes.push_back("a weather cell is not a field: soils and weather are means of the cell");
  if (season.model == ForecastModel::formulas)
    notes.push_back(
        "model = formulas: no weather, so no workable days and no years; dates follow the closed sowing curve of the trade, every year "
        "alike, and the second way shows the same date sown into a wet seedbed");
  return notes;
}

std::string known_words(const KnownSoFar& known) {
  const auto width = [](const Range& range) { return range.p90 - range.p10; };
  const double now = width(known.qualifying_now_t_ha), before = width(known.qualifying_before_t_ha);
  const std::string ranges =
      fmt::format("from 1 year in 10 below to 1 in 10 above the range is {:.2f} t/ha wide, {:.2f} with nothing known", now, before);
  if (known.narrower) return fmt::format("weather known to {}: {}", to_text(known.through), ranges);
  return fmt::format(
      "weather known to {}: {}; it is not narrower because what is known so far leaves the weeks that decide yield and nitrogen open, or "
      "leads into a part of the curves where years differ more",
      to_text(known.through), ranges);
}

LastSensible last_sensible(const std::vector<SowingDate>& dates, double share) {
  const auto best = std::max_element(dates.begin(), dates.end(), [](const auto& a, const auto& b) { return mean_t_ha(a) < mean_t_ha(b); });
  auto last = dates.end() - 1;
  while (last != best && mean_t_ha(*last) < share * mean_t_ha(*best)) --last;
  LastSensible out;
  out.date = last->date;
  out.best = best->date;
  out.share_of_best = mean_t_ha(*best) > 0 ? mean_t_ha(*last) / mean_t_ha(*best) : 1;
  out.beyond = last + 1 == dates.end();
  if (out.beyond)
    out.reason = fmt::format("every date tried up to {} still gives at least {:.0f} % of the best date's qualifying grain",
                             spoken(out.date), 100 * share);
  else
    out.reason = fmt::format("the next date tried, {}, gives {:.1f} % of the best ({}), {}", spoken((last + 1)->date),
                             100 * mean_t_ha(*(last + 1)) / mean_t_ha(*best), spoken(out.best), fall_words(*best, *(last + 1)));
  return out;
}

std::string harvest_words(const Season& season) {
  const auto& p = season.parameters;
  return fmt::format(
      "Assumption: a region needs {:g} combine days within {:g} days of ripeness; with fewer, the share late is 1 - days / {:g}, and "
      "{:g} points of grain fail for the whole crop late, in proportion.",
      p["combine_days_needed"], p["combine_window_days"], p["combine_days_needed"], p["late_harvest_failure_pct"]);
}

}  // namespace rickyard
