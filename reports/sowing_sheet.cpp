#include "reports/sowing_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "reports/plain_words.h"
#include "reports/sowing_chart.h"
#include "reports/sowing_words.h"

namespace rickyard {
namespace {

constexpr const char* kStyle = R"css(
:root { color-scheme: light dark; --paper: #fcfcf9; --ink: #15191c; --ink-2: #565b60; --line: #dcdcd5; --wash: #f0f0ea; --band: #e4d3a9; --year: #6b6f73; --mean: #825d20; --work: #3b7d72;
  --sans: system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", "DejaVu Sans", sans-serif; --serif: ui-serif, Charter, Georgia, Cambria, "Noto Serif", "DejaVu Serif", serif; }
@media screen and (prefers-color-scheme: dark) { :root { --paper: #15191c; --ink: #ecebe4; --ink-2: #a7adb2; --line: #343a3f; --wash: #1e2327; --band: #4b3b14; --year: #8b9196; --mean: #f1dfa0; --work: #4fb0aa; } }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 24px 16px 48px; max-width: 880px; background: var(--paper); color: var(--ink); font: 16px/1.45 var(--sans); font-variant-numeric: tabular-nums; overflow-wrap: anywhere; }
h1 { font: 650 28px/1.2 var(--serif); margin: 0; padding-top: 16px; border-top: 8px solid var(--ink); }
.sub, .note, .key { font-size: 13px; color: var(--ink-2); margin: 4px 0 0; }
.answer { font: 500 22px/1.3 var(--serif); margin: 16px 0 8px; max-width: 34em; }
p { margin: 0 0 8px; max-width: 70ch; }
h2 { font: 650 16px/1.4 var(--sans); margin: 24px 0 4px; }
figure { margin: 16px 0 0; }
svg { display: block; width: 100%; height: auto; font: 12px var(--sans); }
svg text { fill: var(--ink); } svg .soft { fill: var(--ink-2); }
.grid { stroke: var(--line); } .tick { stroke: var(--ink-2); } .band { fill: var(--band); } .year { fill: none; stroke: var(--year); stroke-width: .6; opacity: .45; }
.year:hover { stroke: var(--ink); stroke-width: 2; opacity: 1; }
.mean { fill: none; stroke: var(--mean); stroke-width: 3; } .once { fill: none; stroke: var(--ink); stroke-width: 1.6; stroke-dasharray: 5 4; } .mark { stroke: var(--ink); stroke-width: 1; }
.work { fill: var(--work); }
.scroll { overflow-x: auto; } .scroll svg { min-width: 560px; }
table { border-collapse: collapse; width: 100%; font-size: 13px; margin-top: 8px; }
th, td { padding: 3px 8px 3px 0; text-align: right; border-bottom: 1px solid var(--line); white-space: nowrap; }
table { overflow-wrap: normal; }
th { font-weight: 600; color: var(--ink-2); vertical-align: bottom; line-height: 1.25; white-space: normal; }
th:first-child, td:first-child { text-align: left; }
tr.planned td, td.best { font-weight: 700; background: var(--wash); }
tr.past td { color: var(--ink-2); }
ul { margin: 4px 0 0; padding-left: 18px; font-size: 13px; color: var(--ink-2); }
footer { margin-top: 24px; border-top: 2px solid var(--ink); padding-top: 8px; }
@page { size: A4; margin: 8mm 11mm; }
@media print {
  body { padding: 0; max-width: none; background: none; font-size: 9.2pt; line-height: 1.3; }
  h1 { font-size: 16pt; border-top-width: 4pt; padding-top: 3pt; } .answer { font-size: 12pt; margin: 3pt 0 2pt; max-width: none; } h2 { font-size: 10pt; margin: 4pt 0 1pt; break-after: avoid; }
  p { margin-bottom: 2pt; max-width: none; } .sub, .note, .key, ul { font-size: 7pt; line-height: 1.2; margin-top: 1pt; } table { font-size: 7.8pt; line-height: 1.2; margin-top: 1pt; } th, td { padding: .6pt 5pt .6pt 0; }
  figure { margin-top: 4pt; break-inside: avoid; } .scroll svg { min-width: 0; } svg { max-height: 128pt; } .scroll { overflow: visible; } ul { columns: 3; column-gap: 5mm; padding-left: 10pt; } li { break-inside: avoid; } footer { margin-top: 5pt; padding-top: 2pt; border-top-width: 1pt; } tr { break-inside: avoid; }
}
)css";

std::string cell(const std::string& text, const char* tag = "td") { return fmt::format("<{0}>{1}</{0}>", tag, text); }

std::string change(double from, double to, int decimals) { return fmt::format("{:.{}f} to {:.{}f}", from, decimals, to, decimals); }

std::string head(const SowingDocument& d, const SowingAdvice& place) {
  const bool daily = d.season.model == "daily";
  std::string where = html_text(place.name);
  if (place.at) where += fmt::format(", at {:.4f}, {:.4f}", (*place.at)[0], (*place.at)[1]);
  const std::string stop = d.season.stop_n_pct > d.season.limit_n_pct ? fmt::format(", with a claim to {:.2f} %", d.season.stop_n_pct) : "";
  std::string out = fmt::format("<h1>Sowing spring malting barley, crop {}: {}</h1>", d.season.crop_year, where);
  out += fmt::format(
      "<p class=\"sub\">Contract {}. As of {}. {}. Nitrogen limit {:.2f} %{}, screenings to {:g} %. Yield of an average year {:.2f} t/ha "
      "{}. Rickyard {}.</p>",
      html_text(place.contract), date_words(d.season.as_of),
      daily ? fmt::format("Chances from {} past weather years", d.years.size())
            : std::string("No weather: the closed formulas of the trade"),
      d.season.limit_n_pct, stop, d.season.screenings_max_pct, place.field_yield_t_ha,
      place.yield_basis == "in_field" ? fmt::format("of the whole field, from {:.2f} in-field less headlands", place.stated_yield_t_ha)
                                      : std::string("of the whole field, as weighed"),
      html_text(d.version));
  return out;
}

std::string chart(const SowingAdvice& place) {
  std::string key = place.spring ? "Thick line: mean of crops that wait for the soil from the date on; band: 1 year in 10 lies below it, 1 "
                                   "in 10 above; thin lines: "
                                   "single weather years; dashed: mean of crops sown that very day whatever the soil. Bars: workable days "
                                   "from one date to the next."
                                 : "Thick line: the closed sowing curve of the trade; dashed: the same dates sown into a wet seedbed.";
  return "<figure><div class=\"scroll\">" + sowing_chart(place) + "</div><figcaption class=\"key\">" + key + "</figcaption></figure>";
}

// Share of the area drilled by a date in the middle spring, as words; empty without weather.
std::string drilled(const SowingAdvice& place, const Date& date) {
  if (!place.spring) return "";
  for (const auto& point : place.spring->progress)
    if (point.date == date) return fmt::format("{:.0f}\u2013{:.0f} %", 100 * point.slow, 100 * point.fast);
  return "";
}

std::string date_row(const SowingAdvice& place, const SowingDate& date) {
  const bool daily = place.spring.has_value();
  std::string out = fmt::format("<tr class=\"{}{}\">", date.planned ? "planned" : "", date.past ? " past" : "");
  out += cell(day_words(date.date) + (date.planned ? " (planned)" : ""));
  if (daily) out += cell(fmt::format("{:.0f}", date.workable_days_left->mean)) + cell(drilled(place, date.date));
  out += cell(day_words(date.wait.sown.p50)) + cell(fmt::format("{:.2f}", date.wait.yield_t_ha.mean));
  out += cell(std::isnan(date.wait.n_pct.mean) ? "" : fmt::format("{:.2f}", date.wait.n_pct.mean));
  out += cell(fmt::format("{:.0f}", 100 * date.wait.qualifying_share.mean));
  out += cell(fmt::format("{:.2f}", date.wait.qualifying_t_ha.mean));
  if (daily) out += cell(change(date.wait.qualifying_t_ha.p10, date.wait.qualifying_t_ha.p90, 1));
  out += cell(fmt::format("{:.2f}", date.at_once.qualifying_t_ha.mean));
  if (daily) out += cell(day_words(date.wait.heading.p50)) + cell(day_words(date.wait.harvested.p50));
  return out + "</tr>";
}

std::string dates_table(const SowingAdvice& place) {
  const bool daily = place.spring.has_value();
  std::string out = "<div class=\"scroll\"><table><thead><tr>" + cell("ready to drill", "th");
  if (daily) out += cell("workable days left", "th") + cell("area drilled, slow\u2013fast", "th");
  out += cell("sown, middle year", "th") + cell("yield t/ha", "th") + cell("N %", "th") + cell("chance to qualify, in 100", "th") +
         cell("qualifying t/ha", "th");
  if (daily) out += cell("1 in 10 below to above", "th");
  out += cell(daily ? "sown that day, t/ha" : "wet seedbed, t/ha", "th");
  if (daily) out += cell("heading", "th") + cell("harvest", "th");
  out += "</tr></thead><tbody>";
  for (const auto& date : place.dates) out += date_row(place, date);
  return out + "</tbody></table></div>";
}

std::string rate_table(const SowingAdvice& place) {
  const auto& what = place.n_rate;
  std::string rates = cell("kg N/ha", "th"), yields = cell("yield t/ha"), n = cell("N %"), fits = cell("N fits, in 100"),
              accepted = cell("accepted t/ha"), strong = cell(fmt::format("accepted, {:g} kg per 0.1 %", what.kg_per_tenth_strong)),
              weak = cell(fmt::format("accepted, {:g} kg per 0.1 %", what.kg_per_tenth_weak));
  const auto figure = [](double t_ha, bool best) { return fmt::format("<td{}>{:.2f}</td>", best ? " class=\"best\"" : "", t_ha); };
  for (const auto& row : what.rows) {
    if (std::lround(std::abs(row.change_kg_ha)) % 20 != 0 && row.n_rate_kg_ha != what.best_middle_kg_ha) continue;
    rates += cell(fmt::format("{:.0f}", row.n_rate_kg_ha), "th");
    yields += cell(fmt::format("{:.2f}{}", row.yield_t_ha, row.at_table_end ? "*" : ""));
    n += cell(std::isnan(row.middle.n_pct) ? "" : fmt::format("{:.2f}", row.middle.n_pct));
    fits += cell(fmt::format("{:.0f}", 100 * row.middle.n_share));
    accepted += figure(row.middle.accepted_t_ha, row.n_rate_kg_ha == what.best_middle_kg_ha);
    strong += figure(row.strong.accepted_t_ha, row.n_rate_kg_ha == what.best_strong_kg_ha);
    weak += figure(row.weak.accepted_t_ha, row.n_rate_kg_ha == what.best_weak_kg_ha);
  }
  std::string out = "<div class=\"scroll\"><table><thead><tr>" + rates + "</tr></thead><tbody>";
  for (const auto& line : {yields, n, fits, accepted, strong, weak}) out += "<tr>" + line + "</tr>";
  return out + "</tbody></table></div>";
}

std::string rates(const SowingAdvice& place) {
  const auto& what = place.n_rate;
  const auto [least, most] = std::minmax({what.best_middle_kg_ha, what.best_strong_kg_ha, what.best_weak_kg_ha});
  std::string out = "<h2>Sums on the nitrogen rate: no dose</h2>" + rate_table(place);
  out += fmt::format(
      "<p class=\"note\">In these sums most grain is accepted at {:.0f} kg/ha, {:.0f} to {:.0f} by how strongly grain nitrogen answers. {}",
      what.best_middle_kg_ha, least, most, html_text(what.words));
  for (const auto& row : what.rows)
    if (row.at_table_end) return out + " * held at the end of the table's yields.</p>";
  return out + "</p>";
}

std::string harvest(const SowingDocument& d, const SowingAdvice& place) {
  for (const auto& date : place.dates)
    if (date.planned && date.wait.combine_days)
      return fmt::format(
          "Harvest: {:.0f} combine days on average ({:.0f} to {:.0f}); {:.0f} % of the crop is cut late, which adds {:.1f} points of "
          "failure{}. {}",
          date.wait.combine_days->mean, date.wait.combine_days->p10, date.wait.combine_days->p90, 100 * date.wait.late_share,
          date.wait.late_failure_points,
          date.wait.moisture_pct
              ? fmt::format("; grain comes in at {:.0f} to {:.0f} % moisture", date.wait.moisture_pct->p10, date.wait.moisture_pct->p90)
              : std::string(),
          d.harvest_rule);
  return "";
}

// A sentence of the document with a capital and a full stop.
std::string sentence(std::string words) {
  if (!words.empty() && words[0] >= 'a' && words[0] <= 'z') words[0] = static_cast<char>(words[0] - 'a' + 'A');
  if (!words.empty() && words.back() != '.') words += '.';
  return words;
}

std::string notes(const SowingDocument& d, const SowingAdvice& place) {
  std::vector<std::string> all;
  std::string drivers;
  for (const auto& driver : place.drivers) drivers += (drivers.empty() ? "What costs most here: " : "; ") + driver;
  all.push_back(drivers);
  all.push_back(harvest(d, place));
  if (place.known) all.push_back(place.known->words);
  all.insert(all.end(), place.notes.begin(), place.notes.end());
  all.insert(all.end(), d.warnings.begin(), d.warnings.end());
  std::string out = "<h2>What stands behind it</h2><p class=\"note\">";
  for (const auto& words : all)
    if (!words.empty()) out += html_text(sentence(words)) + " ";
  out += "</p>";
  if (place.spring) out += "<p class=\"note\">" + html_text(place.spring->rule) + "</p>";
  return out;
}

std::string cautions(const SowingDocument& d) {
  std::string out =
      "<footer><p class=\"note\"><b>Chance, not order: the field, the forecast of the week and the grower decide.</b></p><ul>";
  for (const auto& caution : d.cautions) out += "<li>" + html_text(caution) + "</li>";
  return out + "</ul></footer>";
}

}  // namespace

std::string sowing_sheet(const SowingDocument& d, std::size_t index) {
  const SowingAdvice& place = d.sowing.at(index);
  std::string out =
      "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, "
      "initial-scale=1\">";
  out += "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">";
  out += fmt::format("<title>Sowing {}: {}</title><style>{}</style></head><body><main>", d.season.crop_year, html_text(place.name), kStyle);
  out += head(d, place) + "<p class=\"answer\">" + html_text(spring_sentence(place)) + "</p>";
  out += "<p>" + html_text(waiting_sentence(place)) + "</p><p>" + html_text(last_sentence(place)) + "</p>";
  out += chart(place) + dates_table(place) + rates(place) + notes(d, place) + "</main>" + cautions(d);
  return out + "</body></html>\n";
}

}  // namespace rickyard
