#include "reports/tables.h"

#include <string>

#include "reports/decision_tables.h"
#include "reports/table_builder.h"

namespace rickyard {
namespace {

using Document = PlanDocument;

Cell or_empty(const std::optional<double>& value) { return value ? Cell{*value} : Cell{}; }

struct SummaryRow {
  std::string figure, unit;
  Range range;
  bool single = false;  // one value, no range
  int decimals = kTableDecimals;
};

Table summary(const Document& d) {
  const auto one = [](const char* figure, const char* unit, double value, int decimals = kTableDecimals) {
    return SummaryRow{figure, unit, {value, 0, 0, 0}, true, decimals};
  };
  const std::string& money = d.season.currency;
  const std::vector<SummaryRow> rows = {
      one("need", "t barley at N 1.50", d.need.barley_t),
      one("need, malt", "t", d.need.malt_t),
      one("need, spirit", "litres of pure alcohol", d.need.spirit_lpa),
      {"qualifying grain of all contracts", "t", d.supply.qualifying_t},
      {"the same if regions were independent (wrong; for comparison)", "t", d.supply.if_regions_were_independent},
      one("qualifying grain that 1 year in 20 lies below", "t", d.supply.one_in_twenty_t),
      one("the same if regions were independent (wrong; for comparison), 1 in 20", "t", d.supply.one_in_twenty_if_independent_t),
      {"bought from backups", "t", d.cover.backup_t},
      {"unmet need", "t barley at N 1.50", d.cover.unmet_t},
      {"surplus sold", "t", d.cover.surplus_t},
      one("chance that the season is covered", "share of scenarios", d.cover.chance_covered, kTableFractions),
      {"cost", money.c_str(), d.cost.total},
      one("mean cost of the worst scenarios", money.c_str(), d.cost.cvar),
      one("share of scenarios that are not the worst", "share", d.cost.alpha)};
  return table_of("summary", rows, [](RowBuilder& row, const SummaryRow& r) {
    row.text("figure", r.figure).text("unit", r.unit).number("mean", r.range.mean, kTableFractions);
    for (const auto& [name, value] : {std::pair{"p10", r.range.p10}, std::pair{"p50", r.range.p50}, std::pair{"p90", r.range.p90}})
      row.cell(name, r.single ? Cell{} : Cell{value});
  });
}

Table years(const Document& d) {
  return table_of("years", d.years, [](RowBuilder& row, const Document::WeatherYear& y) {
    row.whole("year", y.year)
        .number("weight", y.weight, kTableFractions)
        .cell("rain_mm", or_empty(y.rain_mm))
        .cell("rain_apr_jul_mm", or_empty(y.rain_apr_jul_mm))
        .text("kind", y.kind);
  });
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const auto& word : words) text += (text.empty() ? "" : "; ") + word;
  return text;
}

void harvest_weather(RowBuilder& row, const Document::HarvestWeather& h) {
  row.cell("moisture_pct", or_empty(h.moisture_pct)).cell("combine_days", or_empty(h.combine_days)).cell("wet_days", or_empty(h.wet_days));
  row.cell("late_share", or_empty(h.late_share), kTableFractions);
}

Table regions(const Document& d) {
  return table_of("regions", d.regions, [](RowBuilder& row, const Document::RegionBlock& r) {
    row.text("region", r.region)
        .text("name", r.name)
        .text("origin", r.origin)
        .number("planted_ha", r.planted_ha)
        .number("harvested_ha", r.harvested_ha);
    row.range("yield_t_ha", r.yield_t_ha)
        .range("n_pct", r.n_pct)
        .range("n_accepted_pct", r.n_accepted_pct)
        .range("screenings_pct", r.screenings_pct);
    row.range("qualifying_share", r.qualifying_share, kTableFractions)
        .range("offered_t", r.offered_t)
        .range("qualifying_t", r.qualifying_t);
    row.range("with_claim_t", r.with_claim_t).range("rejected_t", r.rejected_t);
    row.dates("sown", r.sown).dates("heading", r.heading).dates("ripe", r.ripe).dates("harvested", r.harvested);
    harvest_weather(row, r.harvest_weather);
    row.text("drivers", joined(r.drivers)).text("suitability", joined(r.suitability));
  });
}

struct RegionYearRow {
  std::string region;
  Document::RegionYear year;
};

Table region_years(const Document& d) {
  std::vector<RegionYearRow> rows;
  for (const auto& region : d.regions)
    for (const auto& year : region.by_year) rows.push_back({region.region, year});
  return table_of("region_years", rows, [](RowBuilder& row, const RegionYearRow& r) {
    const auto& y = r.year;
    row.text("region", r.region).whole("year", y.year).date("sown", y.sown).date("ripe", y.ripe).date("harvested", y.harvested);
    row.number("yield_t_ha", y.yield_t_ha).number("n_pct", y.n_pct).number("screenings_pct", y.screenings_pct);
    row.number("qualifying_share", y.qualifying_share, kTableFractions)
        .number("offered_t", y.offered_t)
        .number("qualifying_t", y.qualifying_t);
    harvest_weather(row, y.harvest_weather);
    row.text("drivers", joined(y.drivers));
  });
}

struct CauseRow {
  std::string region;
  int year = 0;  // 0: mean
  const char* cause = "";
  double t = 0;
};

void add_causes(const std::string& region, int year, const Document::CauseTonnes& c, std::vector<CauseRow>& rows) {
  for (const auto& [cause, t] : {std::pair{"attainable", c.attainable},
                                 {"sowing", c.sowing},
                                 {"water", c.water},
                                 {"waterlogging", c.waterlogging},
                                 {"frost", c.frost},
                                 {"heat", c.heat},
                                 {"harvest", c.harvest},
                                 {"nitrogen", c.nitrogen},
                                 {"screenings", c.screenings},
                                 {"germination", c.germination},
                                 {"other", c.other},
                                 {"qualifying", c.qualifying}})
    rows.push_back({region, year, cause, t});
}

// From attainable to qualifying: the mean of a region first, with the year left empty, then every weather year.
Table causes(const Document& d) {
  std::vector<CauseRow> rows;
  for (const auto& region : d.regions) {
    add_causes(region.region, 0, region.causes, rows);
    for (const auto& year : region.by_year) add_causes(region.region, year.year, year.causes, rows);
  }
  return table_of("causes", rows, [](RowBuilder& row, const CauseRow& r) {
    row.text("region", r.region).cell("year", r.year > 0 ? Cell{static_cast<long long>(r.year)} : Cell{}).text("cause", r.cause);
    row.number("t", r.t);
  });
}

struct BlendRow {
  Month month;
  std::string line;
  Document::Blend blend;
};

std::vector<BlendRow> blend_rows(const Document& d) {
  std::vector<BlendRow> rows;
  for (const auto& block : d.months)
    for (const auto& blend : block.blend) rows.push_back({block.month, block.line, blend});
  return rows;
}

Table blend_by_month(const std::vector<BlendRow>& rows) {
  return table_of("blend_by_month", rows, [](RowBuilder& row, const BlendRow& r) {
    const auto& b = r.blend;
    row.month("month", r.month).text("line", r.line).text("origin", b.origin).text("source", b.source).whole("crop_year", b.crop_year);
    row.range("t", b.t).range("t_equiv", b.t_equiv).range("share", b.share, kTableFractions);
  });
}

struct BlendYearRow {
  Month month;
  std::string line, origin, source;
  int crop_year = 0, year = 0;
  double t = 0;
};

// What is used of each origin and, with the origin left empty, what goes short, in every weather year.
Table blend_by_year(const Document& d) {
  std::vector<BlendYearRow> rows;
  for (const auto& block : d.months) {
    for (const auto& blend : block.blend)
      for (std::size_t y = 0; y < blend.by_year_t.size() && y < d.years.size(); ++y)
        rows.push_back({block.month, block.line, blend.origin, blend.source, blend.crop_year, d.years[y].year, blend.by_year_t[y]});
    for (std::size_t y = 0; y < block.unmet_by_year_t.size() && y < d.years.size(); ++y)
      rows.push_back({block.month, block.line, "", "unmet", 0, d.years[y].year, block.unmet_by_year_t[y]});
  }
  return table_of("blend_by_year", rows, [](RowBuilder& row, const BlendYearRow& r) {
    row.month("month", r.month).text("line", r.line).text("origin", r.origin).text("source", r.source);
    row.cell("crop_year", r.crop_year > 0 ? Cell{static_cast<long long>(r.crop_year)} : Cell{}).whole("year", r.year).number("t", r.t);
  });
}

Table allocation(const Document& d) {
  return table_of("allocation", d.months, [](RowBuilder& row, const Document::MonthBlock& m) {
    row.month("month", m.month).text("line", m.line).number("need_t", m.need_t).range("unmet_t", m.unmet_t).range("n_pct", m.n_pct);
  });
}

Table contracts(const Document& d) {
  return table_of("contracts", d.contracts, [](RowBuilder& row, const Document::ContractBlock& c) {
    row.text("contract", c.contract).text("region", c.region).text("form", c.form).text("signed", c.is_signed ? "yes" : "no");
    row.number("amount", c.amount).text("unit", c.unit).number("proposed", c.proposed).range("delivered_t", c.delivered_t);
    row.range("accepted_t", c.accepted_t)
        .range("made_good_t", c.made_good_t)
        .range("cost", c.cost)
        .text("file", c.file)
        .whole("row", c.row);
  });
}

Table orders(const Document& d) {
  return table_of("orders", d.decisions, [](RowBuilder& row, const Document::Decision& o) {
    row.date("by", o.by).text("source", o.source).text("what", o.what).number("t", o.t).text("stage", o.stage).text("if_not", o.if_not);
  });
}

Table purchase_ranges(const Document& d) {
  return table_of("purchase_ranges", d.purchases, [](RowBuilder& row, const Document::PurchaseBlock& p) {
    row.text("source", p.source).text("origin", p.origin).text("stage", p.stage).range("t", p.t).range("price_per_t", p.price);
  });
}

Table stock_ranges(const Document& d) {
  return table_of("stock_ranges", d.stock, [](RowBuilder& row, const Document::StockBlock& s) {
    row.month("month", s.month)
        .text("origin", s.origin)
        .whole("crop_year", s.crop_year)
        .range("opening_t", s.opening_t)
        .range("arrivals_t", s.arrivals_t);
    row.range("used_t", s.used_t).range("lost_t", s.lost_t).range("sold_t", s.sold_t).range("closing_t", s.closing_t);
  });
}

struct CostRow {
  std::string part;
  Range amount;
};

Table cost_ranges(const Document& d) {
  const auto& c = d.cost;
  const std::vector<CostRow> rows = {{"total", c.total},     {"contracts", c.contracts}, {"purchases", c.purchases}, {"freight", c.freight},
                                     {"options", c.options}, {"storage", c.storage},     {"interest", c.interest},   {"claims", c.claims},
                                     {"rejects", c.rejects}, {"unmet", c.unmet},         {"outlets", c.outlets}};
  return table_of("cost_ranges", rows, [&](RowBuilder& row, const CostRow& r) {
    row.text("part", r.part).text("currency", d.season.currency).range("amount", r.amount);
  });
}

Table need(const Document& d) {
  return table_of("need", d.need.by_month, [](RowBuilder& row, const Document::NeedMonth& m) {
    row.month("month", m.month).text("line", m.line).number("need_t", m.need_t);
  });
}

Table need_steps(const Document& d) {
  return table_of("need_steps", d.need.steps, [](RowBuilder& row, const Document::NeedStep& s) {
    row.text("step", s.name).number("factor", s.factor, kTableFractions).text("status", s.status);
  });
}

Table assumptions(const Document& d) {
  return table_of("assumptions", d.assumptions, [](RowBuilder& row, const Document::Assumption& a) {
    row.text("name", a.name).text("value", a.value).text("unit", a.unit).text("status", a.status).text("source", a.source);
  });
}

Table inputs(const Document& d) {
  return table_of("inputs", d.inputs, [](RowBuilder& row, const Document::Input& i) {
    row.text("path", i.path).text("role", i.role).text("sha256", i.sha256);
  });
}

struct Note {
  std::string kind, words;
};

Table notes(const Document& d) {
  std::vector<Note> rows;
  for (const auto& words : d.warnings) rows.push_back({"warning", words});
  for (const auto& words : d.cautions) rows.push_back({"caution", words});
  return table_of("notes", rows, [](RowBuilder& row, const Note& n) { row.text("kind", n.kind).text("words", n.words); });
}

}  // namespace

std::vector<Table> plan_tables(const PlanDocument& d) {
  const auto blends = blend_rows(d);
  std::vector<Table> tables = {summary(d),       years(d),      regions(d),    region_years(d), causes(d),          blend_by_month(blends),
                               blend_by_year(d), allocation(d), contracts(d),  orders(d),       purchase_ranges(d), stock_ranges(d),
                               cost_ranges(d),   need(d),       need_steps(d), assumptions(d),  inputs(d),          notes(d)};
  for (auto& table : decision_tables(d)) tables.push_back(std::move(table));
  return tables;
}

}  // namespace rickyard
