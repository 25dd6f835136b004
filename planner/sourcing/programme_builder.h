#pragma once
// Builds the programme's columns and rows; used by first_stage.cpp, build_programme.cpp and programme_rows.cpp only.
// Order: first stage, then scenario by scenario; inside a scenario the rows of the months, then heap by heap.
#include <cmath>
#include <map>
#include <utility>

#include "planner/sourcing/programme.h"

namespace rickyard {

/// A column of the first stage or of the scenario at hand.
struct ColumnRef {
  int index = -1;
  bool first = false;
  bool there() const { return index >= 0; }
  auto operator<=>(const ColumnRef&) const = default;
};

struct FirstStage {
  std::vector<ColumnRef> contract;            // [contract]
  std::vector<std::vector<ColumnRef>> order;  // [backup][month]; not there where none
  std::vector<ColumnRef> reserve;             // [backup]; not there without an option fee
  std::vector<ColumnRef> used_at_all;         // [backup]; not there where no minimum take if used, or where scenarios choose
};

class ProgrammeBuilder {
 public:
  explicit ProgrammeBuilder(const ProgrammeTerms& terms) : terms_(terms), months_(terms.months) {}

  Programme build();

 private:
  static constexpr std::size_t at(int i) { return static_cast<std::size_t>(i); }

  using Costs = std::vector<CostTerm>;
  /// A column of the scenario at hand.
  int column(ColumnKind kind, int s, int m, int h, int l, double lower, double upper, const Costs& costs = {});
  /// A column of the first stage; `s` is the scenario it speaks of, or -1. `whole`: integer values only. `tonnes` per unit break ties.
  ColumnRef first_column(ColumnKind kind, int s, int m, int h, double lower, double upper, double tonnes, const Costs& costs = {},
                         bool whole = false);
  int row(RuleKind kind, int s, int m, int index, double lower, double upper);
  int first_row(RuleKind kind, int s, int m, int index, double lower, double upper);
  void add(int row_index, int column_index, double value) { scenario_->lp.add(row_index, column_index, value); }
  void add(int row_index, const ColumnRef& column, double value);
  LpProblem& lp() { return scenario_->lp; }
  const HeapTerms& heap_terms(int h) const { return terms_.heaps[at(h)]; }
  const HeapGrain& grain(int s, int h) const { return programme_.grain[at(s)][at(h)]; }

  void first_stage();
  void contracts();
  void variety_caps();
  void orders(int b);
  void later_integers(int b);
  bool may_wait(int b) const;
  void allowances();
  void scenario(int s);
  void scenario_allowances(int s);
  static double in_lots(const BackupTerms& backup, double tonnes);
  void whole_lots(int s, int b, int m, const ColumnRef& order, double cap);
  void take_if_used(int s, int b, const std::vector<ColumnRef>& taken, double committed, double most, double factor);
  void rows_of_months(int s);
  void heap(int s, int h);
  void in_store(int s, int h);
  void on_farm(int s, int h);
  void at_once(int s, int h);
  void contract_options(int s);
  void flows(int s, int h, int m, int balance_row, const Costs& costs);
  void sales(int s, int h, int m, int balance_row, const Costs& costs);
  bool sale_can_pay(int s, int h, int m, int outlet) const;
  void purchases(int s);
  void ready_rows(int s);
  void closing_rows(int s);
  void arrivals(int s, int h, int m, int balance_row);
  Costs farm_costs(int h, int m, const HeapGrain& grain) const;
  double farm_cost(int h, int m, const HeapGrain& grain) const;

  const ProgrammeTerms& terms_;
  int months_;
  Programme programme_;
  FirstStage first_;
  TwoStageScenario* scenario_ = nullptr;      // at hand
  std::vector<ProgrammeColumn> own_columns_;  // of all scenarios so far
  std::vector<ProgrammeRow> own_rows_;
  std::vector<ColumnRef> unmet_allowed_, carbon_allowed_;                // [scenario]
  std::vector<std::map<std::pair<int, int>, ColumnRef>> scenario_lots_;  // [scenario] (backup, month)
  std::vector<std::vector<ColumnRef>> scenario_used_;                    // [scenario][backup]
  // Of the scenario at hand. [line][month], [month], [outlet][month]; -1 where there is no row.
  std::vector<std::vector<int>> need_, ceiling_, outlet_;
  std::vector<std::vector<int>> share_;  // [limit][month]
  std::vector<int> malting_, store_, intake_, drying_;
  std::vector<std::vector<int>> balance_;  // [heap][month]; on farm: one row at month 0
  struct Leaving {
    int column, line, heap;
    double t_equiv;
  };
  std::vector<std::vector<Leaving>> leaving_;           // [month] flows
  std::vector<std::pair<int, int>> kept_;               // closing stock: (heap, column)
  std::vector<int> unmet_columns_;                      // of the scenario at hand
  std::vector<ColumnRef> over_cap_, over_limit_;        // [contract]
  std::map<std::pair<int, ColumnRef>, double> shared_;  // (row, column) coefficients summed over heaps
};

}  // namespace rickyard
