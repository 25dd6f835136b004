#include "reports/contract_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "reports/plain_words.h"

namespace rickyard {
namespace {

using Document = PlanDocument;
using Answers = DecisionDocument;

constexpr std::size_t kWidth = 80;
constexpr std::size_t kMostRows = 12;  // of contracts and orders; the report has them all
constexpr std::size_t kNameWidth = 22;
constexpr double kLeastTonnes = 0.5;

std::string line(const std::string& text) { return wrapped(without_controls(text), kWidth, "  ") + "\n"; }
std::string tonnes(double t) { return tonnes_words(t) + " t"; }

std::string trimmed(std::string text) { return text.erase(text.find_last_not_of(' ') + 1) + "\n"; }

// A name cut to its column, by characters.
std::string name_column(const std::string& name) {
  std::string out;
  std::size_t width = 0;
  for (char c : without_controls(name)) {
    const bool starts = (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    if (starts && ++width > kNameWidth) break;
    out += c;
  }
  return out + std::string(kNameWidth - std::min(width, kNameWidth), ' ');
}

std::string title(const Document& d) {
  const auto& s = d.season;
  return line(fmt::format("What to sign for crop {}, {}, nitrogen limit {:.2f} %, as of {}", s.crop_year,
                          s.case_name == "base" ? "base plan" : "case " + s.case_name, s.limit_n_pct, date_words(s.as_of)));
}

std::string how_found(const Document& d) {
  if (d.solution.status == "optimal") return "";
  return line(
      fmt::format("Stopped before the optimum was proved: the best so far, at most {:.2g} % dearer than the best there is. What "
                  "was not reached is left out.",
                  100 * d.solution.gap));
}

std::string safety(const Document& d) {
  std::string text = fmt::format("At these amounts the need is met in {} of years; the cost is {} {} on average and {} in the dearest {}.",
                                 percent_words(d.cover.chance_covered), money_words(d.cost.total.mean), d.season.currency,
                                 money_words(d.cost.cvar), percent_words(1 - d.cost.alpha));
  return line(text);
}

std::string amounts_words(const Document::ContractBlock& c) {
  const auto amount = [&](double a) { return fmt::format("{} {}", grouped(std::llround(a)), c.unit); };
  return fmt::format("{:>10} {:>10}", amount(c.amount), amount(c.proposed));
}

std::string worth(const Document::ContractBlock& c) {
  if (!c.one_more || (!c.one_more->value && !c.one_more->less_costs)) return fmt::format("{:>10} {:>10}", "", "");
  const auto money = [](const std::optional<double>& value) { return value ? money_words(*value) : std::string(); };
  return fmt::format("{:>10} {:>10}", money(c.one_more->value), money(c.one_more->less_costs));
}

std::string signing(const Document& d) {
  std::string text = trimmed(
      fmt::format("{:<{}} {:>10} {:>10} {:>10} {:>10}  {}", "Contract", kNameWidth, "table", "sign", "one more", "one less", "in other"));
  text += trimmed(fmt::format("{:<{}} {:>10} {:>10} {:>10} {:>10}  {}", "", kNameWidth, "", "", "saves", "costs", "years"));
  std::size_t shown = 0;
  for (const auto& c : d.contracts) {
    if (++shown > kMostRows) continue;
    const auto& all = d.decision->stability;
    const auto sure = std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.contract == c.contract; });
    const std::string spread =
        sure == all.end() || std::round(sure->p10) == std::round(sure->p90) ? "" : fmt::format("{:.0f}-{:.0f}", sure->p10, sure->p90);
    text += trimmed(fmt::format("{} {} {}  {}", name_column(c.contract), amounts_words(c), worth(c), spread));
  }
  if (d.contracts.size() > kMostRows) text += fmt::format("and {} more in contract_values.csv\n", d.contracts.size() - kMostRows);
  return text;
}

// The contract of which one more is worth most.
std::string best_hectare(const Document& d) {
  const Document::ContractBlock* best = nullptr;
  for (const auto& c : d.contracts)
    if (c.one_more && c.one_more->value && (!best || *c.one_more->value > *best->one_more->value)) best = &c;
  if (!best) return "";
  const double value = *best->one_more->value;
  const char* unit = best->unit == "ha" ? "hectare" : "tonne";
  if (value > 0)
    return line(fmt::format("One more {} in {} is worth {} {}, more than anywhere else.", unit, best->contract, money_words(value),
                            d.season.currency));
  return line(fmt::format("One more {} is worth nothing anywhere: even in {} it costs {} {}.", unit, best->contract, money_words(-value),
                          d.season.currency));
}

std::string calendar(const Document& d) {
  std::vector<const Document::Decision*> now;
  for (const auto& decision : d.decisions)
    if (decision.stage == "now") now.push_back(&decision);
  if (now.empty()) return line("Nothing has to be signed or ordered before the harvest is known.");
  std::string text = "Decide by:\n";
  for (std::size_t i = 0; i < now.size() && i < kMostRows; ++i)
    text += wrapped(without_controls(
                        fmt::format("  {:<12} {:>10}  {}: {}", date_words(now[i]->by), tonnes(now[i]->t), now[i]->source, now[i]->what)),
                    kWidth, "      ") +
            "\n";
  if (now.size() > kMostRows) text += fmt::format("  and {} more in orders.csv\n", now.size() - kMostRows);
  return text;
}

std::string frontier(const Document& d) {
  const auto& points = d.decision->frontier;
  if (points.empty()) return "";
  std::string text = "What more safety costs (a higher weight buys more cover):\n";
  text += trimmed(fmt::format("  {:>7} {:>14} {:>16} {:>12} {:>12}", "weight", "cost, mean", "dearest years", "need met", "missing"));
  for (const auto& p : points)
    text += trimmed(fmt::format("{} {:>7.2f} {:>14} {:>16} {:>12} {:>12}", p.chosen ? ">" : " ", p.lambda, money_words(p.expected_cost),
                                money_words(p.cvar), percent_words(p.chance_covered), tonnes(p.unmet_t)));
  return text;
}

std::string store(const Document& d) {
  if (!d.store.capacity_t) return "";
  if (d.store.chance_full <= 0) return line("The store is full in no year.");
  const auto most = std::max_element(d.store.by_month.begin(), d.store.by_month.end(),
                                     [](const auto& a, const auto& b) { return a.chance_full < b.chance_full; });
  return line(
      fmt::format("The store is full in {} of years, most often in {}.", percent_words(d.store.chance_full), month_words(most->month)));
}

std::string dependence(const Document& d) {
  const auto& block = d.dependence;
  if (block.largest.empty()) return "";
  const std::string which =
      block.largest.size() == 1 ? "The one contract gives" : fmt::format("The {} largest contracts give", block.largest.size());
  return line(fmt::format("{} {} of the qualifying grain, {} in the driest third of years.", which, percent_words(block.share),
                          percent_words(block.share_in_driest)));
}

std::string failure(const Document& d) {
  const auto& f = d.failure;
  if (!f.first_month) return line("No month runs short.");
  std::string text =
      fmt::format("In {} of years it runs short, first in {}: {} missing on average, {} {} at your price.", percent_words(f.chance),
                  month_words(*f.first_month), tonnes(f.unmet_t), money_words(f.unmet_cost), d.season.currency);
  if (!f.source.empty()) text += fmt::format(" {} then gives {} less than on average.", f.source, tonnes(f.source_below_t));
  return line(text);
}

std::string insurance(const Document& d) {
  const auto& i = d.decision->insurance;
  if (i.ordered_t <= kLeastTonnes) return line("Nothing is ordered ahead.");
  if (!i.possible_without)
    return line(fmt::format("{} are ordered ahead; without orders ahead a rule of the season cannot be kept.", tonnes(i.ordered_t)));
  const std::string net = i.net > 0 ? fmt::format("costs {} {} a year on average", money_words(i.net), d.season.currency)
                                    : fmt::format("pays for itself by {} {} a year on average", money_words(-i.net), d.season.currency);
  return line(fmt::format("Ordering {} ahead {}: in {} of years it saves {}, in the others it costs {}; the dearest years are {} {}.",
                          tonnes(i.ordered_t), net, percent_words(i.weight_of_bad_years), money_words(i.saved_in_bad_years),
                          money_words(i.extra_in_other_years), money_words(std::abs(i.cvar_without - i.cvar)),
                          i.cvar_without >= i.cvar ? "cheaper" : "dearer"));
}

std::string waiting(const Document& d) {
  std::string text;
  for (const auto& w : d.decision->waiting) {
    if (!w.later_mean_per_t) {
      text += line(fmt::format("  {}: {} per t now; it cannot be ordered after harvest.", w.source, money_words(w.now_per_t)));
      continue;
    }
    const std::string p90 = w.later_p90_per_t ? fmt::format(", over {} 1 year in 10", money_words(*w.later_p90_per_t)) : "";
    text += line(fmt::format("  {}: {} per t now, {} after harvest on average{}; gone by half or more in {} of years.", w.source,
                             money_words(w.now_per_t), money_words(*w.later_mean_per_t), p90, percent_words(w.chance_gone)));
  }
  return text.empty() ? "" : "Buy now or wait:\n" + text;
}

std::string claims(const Document& d) {
  std::string text;
  for (const auto& c : d.claim_lines) {
    std::string words = c.words;
    text += line("Claim line " + words + ".");
  }
  return text;
}

std::string parts_words(const Answers::LotChoice& c) {
  std::string text;
  for (const auto& part : c.parts) text += fmt::format("{}{} {}", text.empty() ? "" : " + ", part.source, tonnes(part.t));
  return text;
}

// For each gap the choices that nothing beats.
std::string lots(const Document& d) {
  std::string text;
  for (const auto& gap : d.decision->lots) {
    const std::string year = gap.years == "average" ? "an average year" : "a dry year, 1 in 10";
    if (gap.choices.empty()) {
      text += line(gap.gap_t > kLeastTonnes ? fmt::format("In {} {} are missing, and nothing can be bought.", year, tonnes(gap.gap_t))
                                            : fmt::format("In {} own grain leaves no gap.", year));
      continue;
    }
    text += line(fmt::format("In {} own grain leaves a gap of {}; in the lots that can be bought:", year, tonnes(gap.gap_t)));
    for (const auto& c : gap.choices)
      if (!c.dominated) {
        const std::string left = c.short_t > kLeastTonnes  ? tonnes(c.short_t) + " short"
                                 : c.over_t > kLeastTonnes ? tonnes(c.over_t) + " over"
                                                           : "exact";
        text += line(fmt::format("    {}: {}, {} {} for the grain", parts_words(c), left, money_words(c.grain_cost), d.season.currency));
      }
  }
  return text;
}

std::string hectares(const Document& d) {
  if (!d.decision->hectares_needed) return "";
  const auto& h = *d.decision->hectares_needed;
  const std::string start = fmt::format("For own grain to cover {} in {} of years", tonnes(h.asked_t), percent_words(h.chance));
  if (!h.hectares_needed) return line(start + " no number of hectares that may still be signed is enough.");
  return line(fmt::format("{}, sign {} ha instead of the table's {}; the middle year then has {} over, which cost {} {}.", start,
                          grouped(std::llround(*h.hectares_needed)), grouped(std::llround(h.hectares)), tonnes(h.median_surplus_t),
                          money_words(h.median_surplus_cost), d.season.currency));
}

std::string limits(const Document& d) {
  const auto& steps = d.decision->limit_ladder;
  if (steps.empty()) return "";
  std::string text = "Another nitrogen limit, at these amounts:\n";
  text += trimmed(
      fmt::format("  {:>6} {:>14} {:>12} {:>14} {:>14} {:>10}", "limit", "qualifies", "claims", "litres lost", "cost, mean", "need met"));
  for (const auto& s : steps)
    text += trimmed(fmt::format("  {:>6.2f} {:>14} {:>12} {:>14} {:>14} {:>10}", s.limit_n_pct, tonnes(s.qualifying_t.mean),
                                money_words(s.claims), grouped(std::llround(s.litres_lost_lpa)), money_words(s.expected_cost),
                                percent_words(s.chance_covered)));
  return text + line("  Litres lost: of pure alcohol, against the same grain at nitrogen 1.50 %; below 0 they are gained.");
}

std::string information(const Document& d) {
  std::string text;
  if (d.cost.value_of_stochastic_solution)
    text += line(fmt::format("Planning for the mean year alone would cost {} {} more.", money_words(*d.cost.value_of_stochastic_solution),
                             d.season.currency));
  if (d.cost.value_of_perfect_information)
    text += line(fmt::format("Knowing the year beforehand would be worth {} {}: no forecast can be worth more.",
                             money_words(*d.cost.value_of_perfect_information), d.season.currency));
  return text;
}

}  // namespace

std::string contract_text(const PlanDocument& d) {
  std::string text = title(d) + how_found(d) + "\n" + signing(d) + "\n";
  text += safety(d) + best_hectare(d) + failure(d) + store(d) + claims(d) + dependence(d) + insurance(d) + hectares(d) + "\n";
  text += calendar(d) + "\n" + frontier(d) + "\n" + waiting(d) + lots(d) + "\n" + limits(d) + "\n" + information(d);
  const std::size_t n = d.warnings.size();
  text += n == 0 ? "No warnings.\n" : fmt::format("{} warning{} in the report.\n", n, n == 1 ? "" : "s");
  text += "\n";
  for (const auto& caution : d.cautions) text += line("Caution: " + caution);
  return text;
}

}  // namespace rickyard
