#include "reports/decision_tables.h"

#include <string>

#include "reports/table_builder.h"

namespace rickyard {
namespace {

using Document = PlanDocument;
using Answers = DecisionDocument;

Cell or_empty(const std::optional<double>& value) { return value ? Cell{*value} : Cell{}; }
std::string yes_no(bool value) { return value ? "yes" : "no"; }

Table month_chances(const Document& d) {
  return table_of("month_chances", d.cover.by_month, [](RowBuilder& row, const Document::MonthChance& m) {
    row.month("month", m.month).number("need_t", m.need_t).number("chance_met", m.chance_met, kTableFractions);
    row.number("chance_met_until", m.chance_met_until, kTableFractions);
  });
}

Table store(const Document& d) {
  return table_of("store", d.store.by_month, [&](RowBuilder& row, const Document::StoreMonth& m) {
    row.month("month", m.month).cell("capacity_t", or_empty(d.store.capacity_t)).range("stock_t", m.stock_t);
    row.number("chance_full", m.chance_full, kTableFractions);
  });
}

Table dependence(const Document& d) {
  return table_of("dependence", d.dependence.largest, [](RowBuilder& row, const Document::ContractShare& c) {
    row.text("contract", c.contract).number("share", c.share, kTableFractions);
  });
}

Table claim_lines(const Document& d) {
  return table_of("claim_lines", d.claim_lines, [](RowBuilder& row, const Document::ClaimLine& c) {
    row.text("line", c.line).text("origin_rule", c.origin_rule).number("need_t", c.need_t).range("filled_t", c.filled_t);
    row.range("unmet_t", c.unmet_t)
        .number("topped_up_t", c.topped_up_t)
        .number("others_filled_while_short_t", c.others_filled_while_short_t)
        .text("words", c.words);
  });
}

Table carbon(const Document& d) {
  return table_of("carbon", d.carbon.by_source, [](RowBuilder& row, const Document::CarbonSource& s) {
    row.text("source", s.source)
        .text("kind", s.kind)
        .number("t", s.t)
        .cell("kg_co2e_per_t", or_empty(s.kg_co2e_per_t))
        .number("t_co2e", s.co2e_t);
  });
}

Table frontier(const Answers& a) {
  return table_of("frontier", a.frontier, [](RowBuilder& row, const Answers::FrontierPoint& f) {
    row.number("lambda", f.lambda).text("chosen", yes_no(f.chosen)).number("expected_cost", f.expected_cost).number("cvar", f.cvar);
    row.number("chance_covered", f.chance_covered, kTableFractions).number("unmet_t", f.unmet_t);
  });
}

struct FirstStageRow {
  double lambda = 0;
  std::string kind, source, unit;
  double amount = 0;
};

// What is signed and ordered at every point of the frontier.
Table frontier_amounts(const Answers& a) {
  std::vector<FirstStageRow> rows;
  for (const auto& point : a.frontier) {
    for (const auto& contract : point.contracts)
      rows.push_back({point.lambda, "contract", contract.contract, contract.unit, contract.amount});
    for (const auto& order : point.orders) rows.push_back({point.lambda, "order", order.source, "t", order.t});
  }
  return table_of("frontier_amounts", rows, [](RowBuilder& row, const FirstStageRow& r) {
    row.number("lambda", r.lambda).text("kind", r.kind).text("source", r.source).number("amount", r.amount).text("unit", r.unit);
  });
}

struct ValueRow {
  Document::ContractBlock contract;
  std::optional<double> p10, p90;
};

// Amounts in the table and proposed, how sure they are, and what one more or less is worth.
Table contract_values(const Document& d, const Answers& a) {
  std::vector<ValueRow> rows;
  for (const auto& contract : d.contracts) {
    ValueRow row{contract, {}, {}};
    for (const auto& one : a.stability)
      if (one.contract == contract.contract) {
        row.p10 = one.p10;
        row.p90 = one.p90;
      }
    rows.push_back(row);
  }
  return table_of("contract_values", rows, [](RowBuilder& row, const ValueRow& r) {
    const auto more = r.contract.one_more.value_or(Document::OneMore{});
    row.text("contract", r.contract.contract).text("region", r.contract.region).text("unit", r.contract.unit);
    row.number("amount", r.contract.amount).number("proposed", r.contract.proposed);
    row.cell("one_more_saves", or_empty(more.value)).cell("one_less_costs", or_empty(more.less_costs));
    row.cell("proposed_p10", or_empty(r.p10)).cell("proposed_p90", or_empty(r.p90));
  });
}

Table waiting(const Answers& a) {
  return table_of("waiting", a.waiting, [](RowBuilder& row, const Answers::Waiting& w) {
    row.text("source", w.source).number("ordered_now_t", w.ordered_now_t).number("now_per_t", w.now_per_t);
    row.cell("later_mean_per_t", or_empty(w.later_mean_per_t)).cell("later_p90_per_t", or_empty(w.later_p90_per_t));
    row.number("chance_gone", w.chance_gone, kTableFractions);
  });
}

struct InsuranceRow {
  const char* figure = "";
  std::optional<double> with_orders, without;
};

Table insurance(const Answers& a) {
  const auto& i = a.insurance;
  const auto if_possible = [&](double value) { return i.possible_without ? std::optional(value) : std::nullopt; };
  const std::vector<InsuranceRow> rows = {{"ordered_t", i.ordered_t, if_possible(0)},
                                          {"expected_cost", i.expected_cost, if_possible(i.expected_cost_without)},
                                          {"cvar", i.cvar, if_possible(i.cvar_without)},
                                          {"chance_covered", i.chance_covered, if_possible(i.chance_covered_without)},
                                          {"net_cost", if_possible(i.net), {}},
                                          {"extra_in_other_years", if_possible(i.extra_in_other_years), {}},
                                          {"saved_in_bad_years", if_possible(i.saved_in_bad_years), {}},
                                          {"weight_of_bad_years", i.weight_of_bad_years, {}}};
  return table_of("insurance", rows, [](RowBuilder& row, const InsuranceRow& r) {
    row.text("figure", r.figure)
        .cell("with_orders", or_empty(r.with_orders), kTableFractions)
        .cell("without", or_empty(r.without), kTableFractions);
  });
}

Table limit_ladder(const Answers& a) {
  return table_of("limit_ladder", a.limit_ladder, [](RowBuilder& row, const Answers::Limit& l) {
    row.number("limit_n_pct", l.limit_n_pct).number("stop_n_pct", l.stop_n_pct).range("qualifying_t", l.qualifying_t);
    row.number("claims", l.claims).number("litres_lost_lpa", l.litres_lost_lpa).number("expected_cost", l.expected_cost);
    row.number("cvar", l.cvar).number("chance_covered", l.chance_covered, kTableFractions).number("unmet_t", l.unmet_t);
  });
}

struct PriceRow {
  std::string contract, own_form, form;
  std::optional<double> low, planned, high;
  double accepted_t = 0;
};

// One row for each contract and form; the first row is feed itself.
Table price_forms(const Answers& a) {
  const auto level = [](const std::vector<double>& of, std::size_t i) { return i < of.size() ? std::optional(of[i]) : std::nullopt; };
  std::vector<PriceRow> rows;
  const auto add = [&](const std::string& contract, const std::string& own, const char* form, const std::vector<double>& of, double t) {
    rows.push_back({contract, own, form, level(of, 0), level(of, 1), level(of, 2), t});
  };
  if (!a.price_forms.feed_per_t.empty()) add("", "", "feed", a.price_forms.feed_per_t, 0);
  for (const auto& c : a.price_forms.contracts) {
    add(c.contract, c.form, "fixed", c.fixed, c.accepted_t);
    add(c.contract, c.form, "feed_plus", c.feed_plus, c.accepted_t);
    add(c.contract, c.form, "collar", c.collar, c.accepted_t);
  }
  return table_of("price_forms", rows, [](RowBuilder& row, const PriceRow& r) {
    row.text("contract", r.contract).text("own_form", r.own_form).text("form", r.form);
    row.cell("feed_low_per_t", or_empty(r.low))
        .cell("feed_as_planned_per_t", or_empty(r.planned))
        .cell("feed_high_per_t", or_empty(r.high));
    row.number("accepted_t", r.accepted_t);
  });
}

struct LotRow {
  std::string years;
  double gap_t = 0;
  Answers::LotChoice choice;
};

Table lots(const Answers& a) {
  std::vector<LotRow> rows;
  for (const auto& gap : a.lots)
    for (const auto& choice : gap.choices) rows.push_back({gap.years, gap.gap_t, choice});
  return table_of("lots", rows, [](RowBuilder& row, const LotRow& r) {
    const auto& c = r.choice;
    const auto part = [&](std::size_t i) { return i < c.parts.size() ? c.parts[i] : Answers::LotPart{}; };
    row.text("years", r.years).number("gap_t", r.gap_t).text("first", part(0).source).number("first_t", part(0).t);
    row.text("second", part(1).source).number("second_t", part(1).t).number("short_t", c.short_t).number("over_t", c.over_t);
    row.number("grain_cost", c.grain_cost).number("resale", c.resale).number("short_cost", c.short_cost).number("cost", c.cost);
    row.text("dominated", yes_no(c.dominated));
  });
}

Table hectares_needed(const Answers& a) {
  std::vector<Answers::Hectares> rows;
  if (a.hectares_needed) rows.push_back(*a.hectares_needed);
  return table_of("hectares_needed", rows, [](RowBuilder& row, const Answers::Hectares& h) {
    row.number("chance", h.chance, kTableFractions).number("asked_t", h.asked_t).number("qualifying_t", h.qualifying_t);
    row.number("hectares", h.hectares)
        .cell("scale", or_empty(h.scale), kTableFractions)
        .cell("hectares_needed", or_empty(h.hectares_needed));
    row.number("median_surplus_t", h.median_surplus_t).number("surplus_cost_per_t", h.surplus_cost_per_t);
    row.number("median_surplus_cost", h.median_surplus_cost);
  });
}

}  // namespace

std::vector<Table> decision_tables(const PlanDocument& d) {
  std::vector<Table> tables = {month_chances(d), store(d), dependence(d), claim_lines(d), carbon(d)};
  if (!d.decision) return tables;
  const auto& a = *d.decision;
  for (auto&& table : {frontier(a), frontier_amounts(a), contract_values(d, a), waiting(a), insurance(a), limit_ladder(a), price_forms(a),
                       lots(a), hectares_needed(a)})
    tables.push_back(table);
  return tables;
}

}  // namespace rickyard
