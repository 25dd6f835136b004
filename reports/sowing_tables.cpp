#include "reports/sowing_tables.h"

#include "reports/table_builder.h"

namespace rickyard {
namespace {

// A place and one thing listed under it.
template <class T>
struct Of {
  const SowingAdvice* place = nullptr;
  T item{};
};

template <class T, class Pick>
std::vector<Of<T>> all_of(const SowingDocument& document, Pick pick) {
  std::vector<Of<T>> out;
  for (const auto& place : document.sowing)
    for (const auto& item : pick(place)) out.push_back({&place, item});
  return out;
}

void name_place(RowBuilder& row, const SowingAdvice* place) {
  static const SowingAdvice nobody{};
  const SowingAdvice& p = place ? *place : nobody;
  row.text("region", p.region)
      .text("contract", p.contract)
      .cell("at_lon", p.at ? Cell{(*p.at)[0]} : Cell{})
      .cell("at_lat", p.at ? Cell{(*p.at)[1]} : Cell{});
}

RowBuilder& dates(RowBuilder& row, const std::string& name, const DateSpread& d) {
  return row.date(name + "_p10", d.p10).date(name + "_p50", d.p50).date(name + "_p90", d.p90);
}

RowBuilder& maybe(RowBuilder& row, const std::string& name, const std::optional<Range>& r) {
  const Range nothing{std::nan(""), std::nan(""), std::nan(""), std::nan("")};
  return row.range(name, r.value_or(nothing));
}

// One date sown one way.
struct Way {
  SowingDate date;
  const char* words = "wait";
  SowingResult result;
};

std::vector<Way> ways(const SowingAdvice& place) {
  std::vector<Way> out;
  for (const auto& date : place.dates) {
    out.push_back({date, "wait for the soil", date.wait});
    out.push_back({date, "that very day", date.at_once});
  }
  return out;
}

Table sowing(const SowingDocument& document) {
  return table_of("sowing", all_of<Way>(document, ways), [](RowBuilder& row, const Of<Way>& of) {
    const auto& [date, words, result] = of.item;
    name_place(row, of.place);
    row.date("date", date.date).text("way", words).whole("planned", date.planned ? 1 : 0).whole("past", date.past ? 1 : 0);
    maybe(row, "workable_days_left", date.workable_days_left);
    dates(row, "sown", result.sown).number("wet_seedbed_share", result.wet_seedbed_share, kTableFractions);
    row.range("yield_t_ha", result.yield_t_ha).range("n_pct", result.n_pct).range("screenings_pct", result.screenings_pct);
    row.range("n_share", result.n_share, kTableFractions).range("qualifying_share", result.qualifying_share, kTableFractions);
    row.range("qualifying_t_ha", result.qualifying_t_ha);
    dates(row, "heading", result.heading);
    dates(row, "ripe", result.ripe);
    dates(row, "harvested", result.harvested);
    maybe(row, "combine_days", result.combine_days);
    maybe(row, "wet_days", result.wet_days);
    maybe(row, "moisture_pct", result.moisture_pct);
    row.number("late_share", result.late_share, kTableFractions).number("late_failure_points", result.late_failure_points);
  });
}

Table springs(const SowingDocument& document) {
  const auto years =
      all_of<SpringYear>(document, [](const SowingAdvice& p) { return p.spring ? p.spring->years : std::vector<SpringYear>{}; });
  return table_of("springs", years, [](RowBuilder& row, const Of<SpringYear>& of) {
    name_place(row, of.place);
    row.whole("year", of.item.year)
        .date("first_workable", of.item.first_workable)
        .date("half_sown", of.item.half_sown)
        .number("workable_days", of.item.workable_days);
  });
}

Table drilling(const SowingDocument& document) {
  const auto points =
      all_of<DrillingPoint>(document, [](const SowingAdvice& p) { return p.spring ? p.spring->progress : std::vector<DrillingPoint>{}; });
  return table_of("drilling", points, [](RowBuilder& row, const Of<DrillingPoint>& of) {
    name_place(row, of.place);
    row.date("date", of.item.date)
        .number("drilled_share_slow_spring", of.item.slow, kTableFractions)
        .number("drilled_share_middle_spring", of.item.middle, kTableFractions)
        .number("drilled_share_fast_spring", of.item.fast, kTableFractions);
  });
}

void effect(RowBuilder& row, const std::string& answer, const RateEffect& e) {
  row.number("n_pct_" + answer, e.n_pct)
      .number("n_share_" + answer, e.n_share, kTableFractions)
      .number("qualifying_share_" + answer, e.qualifying_share, kTableFractions)
      .number("accepted_t_ha_" + answer, e.accepted_t_ha);
}

Table n_rates(const SowingDocument& document) {
  return table_of("n_rates", all_of<RateRow>(document, [](const SowingAdvice& p) { return p.n_rate.rows; }),
                  [](RowBuilder& row, const Of<RateRow>& of) {
                    name_place(row, of.place);
                    row.number("n_rate_kg_ha", of.item.n_rate_kg_ha)
                        .number("change_kg_ha", of.item.change_kg_ha)
                        .number("yield_t_ha", of.item.yield_t_ha)
                        .whole("at_table_end", of.item.at_table_end ? 1 : 0);
                    effect(row, "middle", of.item.middle);
                    effect(row, "strong", of.item.strong);
                    effect(row, "weak", of.item.weak);
                  });
}

}  // namespace

std::vector<Table> sowing_tables(const SowingDocument& document) {
  return {sowing(document), springs(document), drilling(document), n_rates(document)};
}

}  // namespace rickyard
