#include "reports/summary_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

#include "reports/plain_words.h"

namespace rickyard {
namespace {

constexpr std::size_t kWidth = 80;
constexpr double kCoveredShare = 1e-3;  // unmet up to 0.1 % of need counts as covered, as in cover.chance_covered
constexpr std::size_t kMostOrders = 4;
constexpr std::size_t kMostOrigins = 6;
constexpr std::size_t kMostRegions = 4;

std::string line(const std::string& text) { return wrapped(without_controls(text), kWidth, "  ") + "\n"; }

std::optional<Month> first_month_at_risk(const PlanDocument& d) {
  std::optional<Month> first;
  for (const auto& entry : d.cover.first_unmet_month)
    if (entry.probability > 0 && (!first || entry.month < *first)) first = entry.month;
  return first;
}

// The answer. A weather year is covered if what its draws lack on average is within 0.1 % of need.
std::string answer(const PlanDocument& d) {
  const auto& unmet = d.totals.unmet_by_year_t;
  const double need = d.totals.need_t;
  const auto covered = std::count_if(unmet.begin(), unmet.end(), [&](double t) { return t <= kCoveredShare * need; });
  const auto years = static_cast<std::ptrdiff_t>(unmet.size());
  const char* kind = d.season.model == "formulas" ? "drawn" : "weather";
  const auto first = first_month_at_risk(d);
  const std::string since = first ? fmt::format(", first in {}", month_words(*first)) : "";
  if (years == 1)
    return covered == 1 ? fmt::format("In the one {} year the season is covered.", kind)
                        : fmt::format("In the one {} year the season runs short{}.", kind, since);
  if (covered == years) {
    const std::string text = fmt::format("In all {} {} years the season is covered", years, kind);
    return first ? fmt::format("{}, but single draws of them run short{}.", text, since) : text + ".";
  }
  if (covered == 0) return fmt::format("In every one of {} {} years the season runs short{}.", years, kind, since);
  return fmt::format("In {} of {} {} years the season is covered; in {} it runs short{}.", covered, years, kind, years - covered, since);
}

std::string worst_year(const PlanDocument& d) {
  const auto& unmet = d.totals.unmet_by_year_t;
  const auto worst = std::max_element(unmet.begin(), unmet.end());
  if (worst == unmet.end() || *worst < 0.5) return "";
  return line(fmt::format("Unmet need averages {} t over all years and is {} t in the worst, {}.", tonnes_words(d.cover.unmet_t.mean),
                          tonnes_words(*worst), d.years[static_cast<std::size_t>(worst - unmet.begin())].year));
}

std::string row(const char* name, const std::string& below, const std::string& middle, const std::string& above) {
  std::string text = fmt::format("{:<32}{:>16}{:>14}{:>16}", name, below, middle, above);
  return text.erase(text.find_last_not_of(' ') + 1) + "\n";
}

template <class Words>
std::string range_row(const char* name, const Range& r, Words words) {
  return row(name, words(r.p10), words(r.p50), words(r.p90));
}

std::string figures(const PlanDocument& d) {
  std::string text = row("", "1 year in 10", "", "1 year in 10");
  text += row("", "is below", "middle", "is above");
  const auto t = [](double value) { return tonnes_words(value) + " t"; };
  text += row("Need", "", t(d.need.barley_t), "");
  text += row("Old crop in store", "", t(d.totals.opening_stock_t), "");
  text += range_row("Qualifying grain, all contracts", d.supply.qualifying_t, t);
  text += range_row("Bought from backups", d.cover.backup_t, t);
  text += range_row("Unmet need", d.cover.unmet_t, t);
  text += range_row("Surplus sold", d.cover.surplus_t, t);
  text += range_row(("Cost, " + without_controls(d.season.currency).substr(0, 20)).c_str(), d.cost.total, money_words);
  return text;
}

std::string unmet_by_kind(const PlanDocument& d) {
  const auto& unmet = d.totals.unmet_by_year_t;
  if (std::all_of(unmet.begin(), unmet.end(), [](double t) { return t < 0.5; })) return "";  // the table says it
  std::string text;
  for (const auto& of : d.totals.unmet_by_kind_t)
    if (of.kind != "drawn") text += fmt::format("{}{} t in {} years", text.empty() ? "" : ", ", tonnes_words(of.unmet_t), of.kind);
  return text.empty() ? "" : line("Unmet need on average: " + text + ".");
}

// Regions share their weather; what the rare year would be if they did not shows how much that costs.
std::string rare_year(const PlanDocument& d) {
  if (d.regions.size() < 2) return "";
  return line(
      fmt::format("1 year in 20 the qualifying grain lies below {} t; it would be {} t if regions did not share their weather, as they do.",
                  tonnes_words(d.supply.one_in_twenty_t), tonnes_words(d.supply.one_in_twenty_if_independent_t)));
}

std::string month_at_risk(const PlanDocument& d) {
  const auto first = first_month_at_risk(d);
  if (!first) return line("No month runs short in any scenario.");
  const auto worst = std::max_element(d.cover.first_unmet_month.begin(), d.cover.first_unmet_month.end(),
                                      [](const auto& a, const auto& b) { return a.probability < b.probability; });
  std::string text = fmt::format("Earliest month at risk: {}.", month_words(*first));
  const auto as_likely = std::count_if(d.cover.first_unmet_month.begin(), d.cover.first_unmet_month.end(),
                                       [&](const auto& m) { return m.probability > worst->probability - 1e-9; });
  if (worst->month != *first && as_likely == 1)
    text += fmt::format(" {} is the most likely one to run short first.", month_words(worst->month));
  return line(text + fmt::format(" Chance that the whole season is covered: {}.", chance_words(d.cover.chance_covered)));
}

std::string blend(const PlanDocument& d) {
  const auto& origins = d.totals.blend;
  if (origins.empty() || !(origins.front().t > 0)) return line("Nothing is used in any month.");
  std::string text;
  for (std::size_t i = 0; i < origins.size() && i < kMostOrigins; ++i)
    text += fmt::format("{}{} {}", i > 0 ? ", " : "", origins[i].origin, percent_words(origins[i].share));
  if (origins.size() > kMostOrigins) text += fmt::format(" and {} more", origins.size() - kMostOrigins);
  return line("Blend of the season: " + text + ".");
}

// The first driver of every region, the largest losses first by their order in the document.
std::string drivers(const PlanDocument& d) {
  std::string text;
  for (std::size_t r = 0; r < d.regions.size() && r < kMostRegions; ++r)
    for (std::size_t i = 0; i < d.regions[r].drivers.size(); ++i)
      text += line(fmt::format("  {}{}", i == 0 ? d.regions[r].name + ": " : "  then ", d.regions[r].drivers[i]));
  if (d.regions.size() > kMostRegions) text += fmt::format("  and {} more regions in the report\n", d.regions.size() - kMostRegions);
  return text.empty() ? "" : "What takes most grain:\n" + text;
}

std::string orders(const PlanDocument& d) {
  std::vector<const PlanDocument::Decision*> now;
  for (const auto& decision : d.decisions)
    if (decision.stage == "now") now.push_back(&decision);
  std::stable_sort(now.begin(), now.end(), [](const auto* a, const auto* b) { return a->by < b->by; });
  if (now.empty()) return line("Nothing has to be signed or ordered before the harvest is known.");
  std::string text = "To decide before the harvest is known:\n";
  for (std::size_t i = 0; i < now.size() && i < kMostOrders; ++i)
    text += wrapped(without_controls(fmt::format("  by {:<12} {:>8} t  {}: {}", date_words(now[i]->by), tonnes_words(now[i]->t),
                                                 now[i]->source, now[i]->what)),
                    kWidth, "      ") +
            "\n";
  if (now.size() > kMostOrders) text += fmt::format("  and {} more in the report\n", now.size() - kMostOrders);
  return text;
}

std::string backtest(const PlanDocument::Backtest& b) {
  const std::string what = b.verdict               ? "Past seasons, as on the date of this plan: " + *b.verdict
                           : b.kind == "self-test" ? std::string("Past seasons: a self-test, not evidence of skill")
                                                   : std::string("Past seasons");
  return line(without_controls(what + " (" + b.reason + ")."));
}

std::string title(const PlanDocument& d) {
  const auto& s = d.season;
  const std::string plan = s.case_name == "base" ? "base plan" : "case " + s.case_name;
  const std::string policy = s.limit_policy == "after_harvest" ? ", may be raised after harvest" : "";
  const std::string known = s.weather_known_through ? ", weather known through " + date_words(*s.weather_known_through) : "";
  return line(fmt::format("Crop {}, {}, nitrogen limit {:.2f} %{}, as of {}{}", s.crop_year, plan, s.limit_n_pct, policy,
                          date_words(s.as_of), known));
}

}  // namespace

std::string summary_text(const PlanDocument& d) {
  std::string text = line(answer(d)) + worst_year(d);
  text += "\n" + title(d) + "\n" + figures(d) + "\n";
  text += rare_year(d) + unmet_by_kind(d) + month_at_risk(d) + blend(d) + drivers(d) + orders(d);
  if (d.backtest) text += backtest(*d.backtest);
  const std::size_t n = d.warnings.size();
  text += n == 0 ? "No warnings.\n" : fmt::format("{} warning{} in the report.\n", n, n == 1 ? "" : "s");
  return text;
}

}  // namespace rickyard
