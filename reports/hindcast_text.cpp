#include "reports/hindcast_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "reports/hindcast_tables.h"
#include "reports/plain_words.h"
#include "reports/sowing_words.h"

namespace rickyard {
namespace {

constexpr std::size_t kWidth = 100, kName = 24;

std::string padded(const std::string& text, std::size_t width) {
  const std::size_t n = letters(text);
  return n < width ? text + std::string(width - n, ' ') : text;
}
std::string trimmed(std::string text) { return text.erase(text.find_last_not_of(' ') + 1) + "\n"; }

std::string day_of(const HindcastDate& date) {
  const std::string day = day_words(in_year(date.day, 2001));
  return date.name == "sowing" ? "sowing (" + day + ")" : day;
}

std::string signed_tonnes(double t) { return (t < 0 ? "-" : "+") + tonnes_words(std::abs(t)); }

const char* grain_words(Quantity of) { return of == Quantity::qualifying ? "qualifying grain" : "grain delivered"; }

// One line of scores; judged: with a verdict.
std::string score_line(const std::string& name, const Scores& s, bool judged) {
  const std::string range = fmt::format("{} of {} ({} to {})", s.hits, s.n, s.band.low, s.band.high);
  const std::string means = s.crps_five_year_mean ? fmt::format("{} / {} / {}", tonnes_words(s.crps), tonnes_words(*s.crps_five_year_mean),
                                                                tonnes_words(*s.crps_climatology))
                                                  : tonnes_words(s.crps);
  return trimmed(fmt::format("{}  {:>19}  {:>9}  {:>23}  {}", padded(shortened(without_controls(name), kName), kName), range,
                             signed_tonnes(s.bias), means, judged ? verdict_words(s.verdict) : ""));
}

std::string score_head(const std::string& title, bool judged) {
  return trimmed(fmt::format("{}  {:>19}  {:>9}  {:>23}  {}", padded(title, kName), "range held", "bias, t", "CRPS, t: forecast /", "")) +
         trimmed(fmt::format("{}  {:>19}  {:>9}  {:>23}  {}", padded("", kName), "(no surprise)", "", "5-year mean / all years",
                             judged ? "verdict" : ""));
}

std::string by_date(const HindcastDocument& d, bool judged) {
  std::string text = score_head("all regions, by date", judged);
  for (const auto& one : d.hindcast.scores)
    if (one.of == d.hindcast.main && one.region.empty())
      text += score_line(day_of(d.hindcast.dates[static_cast<std::size_t>(one.date)]), one.scores, judged);
  return text;
}

std::string by_region(const HindcastDocument& d, bool judged) {
  std::string text = score_head("by region, " + day_of(d.hindcast.dates.front()), judged);
  for (const auto& one : d.hindcast.scores)
    if (one.of == d.hindcast.main && one.date == 0 && !one.region.empty()) text += score_line(one.region, one.scores, judged);
  return text;
}

std::string lost_words(const HindcastRow& row) {
  if (row.lost_to.empty() || row.lost_to == "nothing") return "";
  if (!row.field_t) return "lost in the " + row.lost_to;
  const double t = row.lost_to == "field" ? *row.field_t : *row.intake_t;
  if (row.lost_to == "field") return fmt::format("{} t lost in the field", tonnes_words(-t));
  const std::string limit = row.limit_n_pct ? fmt::format(" of {:.2f} % N", *row.limit_n_pct) : "";
  const std::string to = row.lost_to == "limit"          ? "the limit" + limit
                         : row.lost_to == "other points" ? "points other than nitrogen"
                                                         : "the limit" + limit + " or other points";
  return fmt::format("{} t lost to {}", tonnes_words(-t), to);
}

std::string season_lines(const HindcastDocument& d) {
  const bool of_qualifying = d.hindcast.main == Quantity::qualifying;
  std::string text =
      trimmed(fmt::format("{}  {:>23}  {:>9}  {}", padded("season, all regions", kName), "forecast (1 in 10 to 9)", "came, t", ""));
  for (const auto& row : d.hindcast.rows) {
    const auto& figure = of_qualifying ? row.qualifying : row.delivered;
    if (row.date != 0 || !row.region.empty() || !figure.score) continue;
    const std::string range = fmt::format("{} ({} to {})", tonnes_words(figure.forecast_t.p50), tonnes_words(figure.forecast_t.p10),
                                          tonnes_words(figure.forecast_t.p90));
    const char* where = figure.score->hit ? "in the range" : *figure.came_t < figure.forecast_t.p10 ? "below it" : "above it";
    const std::string lost = d.hindcast.kind == HindcastKind::deliveries ? lost_words(row) : "";
    text += trimmed(fmt::format("{}  {:>23}  {:>9}  {}{}", padded(std::to_string(row.year), kName), range, tonnes_words(*figure.came_t),
                                where, lost.empty() ? "" : "; " + lost));
  }
  return text;
}

std::string grower_lines(const HindcastDocument& d) {
  if (d.hindcast.grower_scores.empty()) return "";
  std::string text = "\n" + score_head("growers, tonnes delivered", true);
  for (const auto& one : d.hindcast.grower_scores)
    if (one.date == 0) text += score_line(one.grower + ", " + one.region, one.scores, true);
  return text;
}

}  // namespace

std::string hindcast_text(const HindcastDocument& d) {
  const Hindcast& h = d.hindcast;
  const bool judged = h.kind == HindcastKind::deliveries;
  const auto& b = d.backtest;
  std::string text = fmt::format("Past seasons for crop {}: {} forecast, each from all the others and what was known on the day.\n",
                                 d.season.crop_year, h.years.size());
  if (!judged)
    text += wrapped("Self-test, not evidence of skill: no past deliveries are given, so what \"came\" is the model's own harvest.", kWidth,
                    "  ") +
            "\n";
  else if (b.verdict)
    text += wrapped(fmt::format("Verdict on {}, all regions, as on {}: {}.", grain_words(h.main), day_of(h.dates.front()), *b.verdict),
                    kWidth, "  ") +
            "\n";
  text += wrapped(fmt::format("{}: {}.", judged ? "Why" : "Found", b.reason), kWidth, "  ") + "\n\n";
  if (!h.scores.empty()) {
    text += by_date(d, judged) + "\n" + by_region(d, judged) + "\n" + season_lines(d) + grower_lines(d);
    text +=
        wrapped(
            "Range held: seasons that came between the 1-in-10 low and high; 8 in 10 should, and the counts in brackets are no surprise. "
            "CRPS: mean distance, in tonnes, between a forecast with its range and what came; smaller is better. The five-year mean has "
            "its own past errors around it as a range.",
            kWidth, "  ") +
        "\n";
  }
  for (const auto& warning : d.warnings) text += wrapped("Note: " + without_controls(warning), kWidth, "  ") + "\n";
  return text + wrapped(d.cautions.front(), kWidth, "  ") + "\n";
}

}  // namespace rickyard
