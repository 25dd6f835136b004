#include "reports/audit_tables.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <string>

#include "reports/table_builder.h"

namespace rickyard {
namespace {

struct Column {
  const char* name;
  int decimals = kAuditDecimals;
};

Table empty_table(std::string name, std::initializer_list<Column> columns) {
  Table table{std::move(name), {}, {}, {}};
  for (const auto& column : columns) {
    table.columns.emplace_back(column.name);
    table.decimals.push_back(column.decimals);
  }
  return table;
}

std::size_t at(int index) { return static_cast<std::size_t>(index); }
Cell whole(int value) { return static_cast<long long>(value); }
Cell defined(double value) { return std::isnan(value) ? Cell{} : Cell{value}; }

void append(std::vector<Cell>& cells, std::initializer_list<Cell> more) { cells.insert(cells.end(), more); }

struct Rooms {
  const Season& season;
  const Need& need;
  const SupplyScenarios& supply;
  const SourcingResult& sourcing;

  // Programme scenario -> the scenario number of every table.
  Cell scenario(int programme) const { return whole(sourcing.scenario_of[at(programme)]); }
  const Heap& heap(int index) const { return sourcing.heaps[at(index)]; }
  const std::string& line(int index) const { return sourcing.lines[at(index)]; }
};

std::vector<Cell> contract_cells(const ContractRow& contract, const ContractScenario& c) {
  std::vector<Cell> cells = {contract.contract,
                             contract.region,
                             contract.planted_ha.value_or(0),
                             c.harvested_ha,
                             c.yield_t_ha,
                             c.offered_t,
                             c.qualifying_t,
                             c.with_claim_t,
                             c.rejected_nitrogen_t,
                             c.rejected_screenings_t,
                             c.rejected_germination_t,
                             c.rejected_other_t,
                             defined(c.n_pct),
                             defined(c.n_accepted_pct),
                             defined(c.screenings_pct)};
  for (std::size_t b = 0; b < kBands; ++b) append(cells, {c.band_t[b], defined(c.band_n_pct[b])});
  return cells;
}

// One row a scenario and contract; a season without contracts keeps one row a scenario, for the weights.
Table scenarios(const Rooms& in) {
  Table table = empty_table("scenarios", {{"scenario"},
                                          {"year"},
                                          {"draw"},
                                          {"weight", kAuditWeights},
                                          {"in_programme"},
                                          {"programme_weight", kAuditWeights},
                                          {"demand_factor", kAuditWeights},
                                          {"contract"},
                                          {"region"},
                                          {"planted_ha"},
                                          {"harvested_ha"},
                                          {"yield_t_ha"},
                                          {"offered_t"},
                                          {"qualifying_t"},
                                          {"with_claim_t"},
                                          {"rejected_nitrogen_t"},
                                          {"rejected_screenings_t"},
                                          {"rejected_germination_t"},
                                          {"rejected_other_t"},
                                          {"n_pct"},
                                          {"n_accepted_pct"},
                                          {"screenings_pct"},
                                          {"band1_t"},
                                          {"band1_n_pct"},
                                          {"band2_t"},
                                          {"band2_n_pct"},
                                          {"band3_t"},
                                          {"band3_n_pct"},
                                          {"band4_t"},
                                          {"band4_n_pct"}});
  std::vector<Cell> programme_weight(in.supply.scenarios.size());
  for (std::size_t s = 0; s < in.sourcing.scenario_of.size(); ++s) programme_weight[at(in.sourcing.scenario_of[s])] = in.sourcing.weight[s];
  for (std::size_t s = 0; s < in.supply.scenarios.size(); ++s) {
    const auto& scenario = in.supply.scenarios[s];
    const bool used = !std::holds_alternative<std::monostate>(programme_weight[s]);
    const std::vector<Cell> head = {whole(static_cast<int>(s)), whole(in.supply.years[at(scenario.year)]),
                                    whole(scenario.draw),       scenario.weight,
                                    whole(used ? 1 : 0),        programme_weight[s],
                                    scenario.demand_factor};
    for (std::size_t c = 0; c < scenario.contracts.size(); ++c) {
      auto cells = contract_cells(in.season.contracts[c], scenario.contracts[c]);
      cells.insert(cells.begin(), head.begin(), head.end());
      table.rows.push_back(std::move(cells));
    }
    if (!scenario.contracts.empty()) continue;
    table.rows.push_back(head);
    table.rows.back().resize(table.columns.size());
  }
  return table;
}

const char* kind_name(BackupKind kind) {
  switch (kind) {
    case BackupKind::merchant:
      return "merchant";
    case BackupKind::other_region:
      return "other_region";
    case BackupKind::vessel:
      return "vessel";
  }
  return "";
}

Table backup_scenarios(const Rooms& in) {
  Table table = empty_table("backup_scenarios",
                            {{"scenario"}, {"year"}, {"draw"}, {"source"}, {"origin"}, {"kind"}, {"cap_factor"}, {"price_per_t"}});
  for (int s : in.sourcing.scenario_of) {
    const auto& scenario = in.supply.scenarios[at(s)];
    for (std::size_t b = 0; b < scenario.backups.size(); ++b) {
      const auto& row = in.season.backups[b];
      table.rows.push_back({whole(s), whole(in.supply.years[at(scenario.year)]), whole(scenario.draw), row.source, row.origin,
                            kind_name(row.kind), scenario.backups[b].cap_factor, scenario.backups[b].price_per_t});
    }
  }
  return table;
}

Table needs(const Rooms& in) {
  Table table = empty_table("needs", {{"scenario"}, {"month"}, {"line"}, {"reference_t"}, {"demand_factor", kAuditWeights}, {"need_t"}});
  for (int s : in.sourcing.scenario_of)
    for (const auto& need : in.need.by_month) {
      const double factor = in.supply.scenarios[at(s)].demand_factor;
      table.rows.push_back({whole(s), need.month, need.line, need.reference_t, factor, need.reference_t * factor});
    }
  return table;
}

Table flows(const Rooms& in) {
  Table table = empty_table(
      "flows", {{"scenario"}, {"month"}, {"origin"}, {"source"}, {"crop_year"}, {"heap"}, {"line"}, {"n_pct"}, {"t"}, {"t_equiv"}});
  for (const auto& f : in.sourcing.flows) {
    const auto& heap = in.heap(f.heap);
    table.rows.push_back({in.scenario(f.scenario), f.month, heap.origin, heap.source, whole(heap.crop_year), heap.name, in.line(f.line),
                          f.n_pct, f.t, f.t_equiv});
  }
  return table;
}

Table stock(const Rooms& in) {
  Table table = empty_table("stock", {{"scenario"},
                                      {"month"},
                                      {"origin"},
                                      {"source"},
                                      {"crop_year"},
                                      {"heap"},
                                      {"opening_t"},
                                      {"arrivals_t"},
                                      {"used_t"},
                                      {"lost_t"},
                                      {"sold_t"},
                                      {"closing_t"}});
  for (const auto& s : in.sourcing.stock) {
    const auto& heap = in.heap(s.heap);
    table.rows.push_back({in.scenario(s.scenario), s.month, heap.origin, heap.source, whole(heap.crop_year), heap.name, s.opening_t,
                          s.arrivals_t, s.used_t, s.lost_t, s.sold_t, s.closing_t});
  }
  return table;
}

Table unmet(const Rooms& in) {
  Table table = empty_table("unmet", {{"scenario"}, {"month"}, {"line"}, {"unmet_t_equiv"}});
  for (const auto& u : in.sourcing.unmet) table.rows.push_back({in.scenario(u.scenario), u.month, in.line(u.line), u.t_equiv});
  return table;
}

Table purchases(const Rooms& in) {
  Table table = empty_table("purchases", {{"scenario"}, {"month"}, {"source"}, {"origin"}, {"stage"}, {"t"}, {"price_per_t"}});
  for (const auto& p : in.sourcing.purchases) {
    const auto& backup = in.season.backups[at(p.backup)];
    table.rows.push_back(
        {in.scenario(p.scenario), p.month, backup.source, backup.origin, p.first_stage ? "now" : "after harvest", p.t, p.price_per_t});
  }
  return table;
}

Table accounts(const Rooms& in) {
  Table table =
      empty_table("accounts", {{"scenario"}, {"contract"}, {"region"}, {"delivered_t"}, {"accepted_t"}, {"made_good_t"}, {"cost"}});
  for (const auto& a : in.sourcing.accounts) {
    const auto& contract = in.season.contracts[at(a.contract)];
    table.rows.push_back({in.scenario(a.scenario), contract.contract, contract.region, a.delivered_t, a.accepted_t, a.made_good_t, a.cost});
  }
  return table;
}

const char* part_name(CostPart part) {
  switch (part) {
    case CostPart::contracts:
      return "contracts";
    case CostPart::purchases:
      return "purchases";
    case CostPart::freight:
      return "freight";
    case CostPart::options:
      return "options";
    case CostPart::storage:
      return "storage";
    case CostPart::interest:
      return "interest";
    case CostPart::claims:
      return "claims";
    case CostPart::rejects:
      return "rejects";
    case CostPart::unmet:
      return "unmet";
    case CostPart::outlets:
      return "outlets";
  }
  return "";
}

Table costs(const Rooms& in) {
  Table table = empty_table("costs", {{"scenario"}, {"part"}, {"amount"}});
  for (const auto& c : in.sourcing.costs) table.rows.push_back({in.scenario(c.scenario), part_name(c.part), c.amount});
  return table;
}

// What the fields gave in each weather year, before draws: the dates and losses behind the regions of the document.
Table forecast(const Season& season, const HarvestForecast& f) {
  Table table = empty_table("forecast", {{"contract"},
                                         {"region"},
                                         {"planted_ha"},
                                         {"year"},
                                         {"weight", kAuditWeights},
                                         {"rain_mm"},
                                         {"rain_apr_jul_mm"},
                                         {"first_day"},
                                         {"last_day"},
                                         {"sown_day"},
                                         {"heading_day"},
                                         {"ripe_day"},
                                         {"harvested_day"},
                                         {"attainable_t_ha"},
                                         {"loss_sowing_t_ha"},
                                         {"loss_water_t_ha"},
                                         {"loss_waterlogging_t_ha"},
                                         {"loss_frost_t_ha"},
                                         {"loss_heat_t_ha"},
                                         {"loss_harvest_t_ha"},
                                         {"combine_days"},
                                         {"wet_days"},
                                         {"late_share"},
                                         {"moisture_pct"}});
  if (!f.from_weather) return table;
  for (const auto& c : f.contracts) {
    const auto& row = season.contracts[at(c.contract)];
    for (std::size_t y = 0; y < f.years.size(); ++y) {
      const auto& d = c.dates[y];
      const auto& l = c.losses[y];
      const auto& h = c.harvest_weather[y];
      table.rows.push_back({row.contract,
                            row.region,
                            row.planted_ha.value_or(0),
                            whole(f.years[y]),
                            f.weights[y],
                            f.rain_mm[y],
                            f.rain_apr_jul_mm[y],
                            in_year(season.season_start, f.years[y] - 1),
                            in_year(season.season_end, f.years[y]),
                            d.sown,
                            d.heading,
                            d.ripe,
                            d.harvested,
                            l.attainable,
                            l.sowing,
                            l.water,
                            l.waterlogging,
                            l.frost,
                            l.heat,
                            l.harvest,
                            h.combine_days,
                            h.wet_days,
                            h.late_share,
                            h.moisture_pct});
    }
  }
  return table;
}

}  // namespace

std::vector<Table> audit_tables(const Season& season, const Need& need, const SupplyScenarios& supply, const SourcingResult& sourcing,
                                const HarvestForecast* harvest) {
  const Rooms in{season, need, supply, sourcing};
  std::vector<Table> tables;
  for (auto* make : {scenarios, backup_scenarios, needs, flows, stock, unmet, purchases, accounts, costs}) tables.push_back(make(in));
  if (harvest) tables.push_back(forecast(season, *harvest));
  return tables;
}

}  // namespace rickyard
