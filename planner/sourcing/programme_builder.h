#pragma once
// Builds the programme's columns and rows; used by build_programme.cpp and programme_rows.cpp only.
// Order: first stage, then scenario by scenario; inside a scenario the rows of the months, then heap by heap.
#include <cmath>
#include <map>
#include <utility>

#include "planner/sourcing/programme.h"

namespace rickyard {

struct FirstStage {
  std::vector<int> contract;            // [contract]
  std::vector<std::vector<int>> order;  // [backup][month], -1 where none
  std::vector<int> reserve;             // [backup], -1 where there is no option fee
};

class ProgrammeBuilder {
 public:
  explicit ProgrammeBuilder(const ProgrammeTerms& terms) : terms_(terms), months_(terms.months) {}

  Programme build();

 private:
  static constexpr std::size_t at(int i) { return static_cast<std::size_t>(i); }

  using Costs = std::vector<CostTerm>;
  int column(ColumnKind kind, int s, int m, int h, int l, double lower, double upper, const Costs& costs = {});
  int row(RuleKind kind, int s, int m, int index, double lower, double upper);
  void add(int row_index, int column_index, double value) { programme_.lp.add(row_index, column_index, value); }
  const HeapTerms& heap_terms(int h) const { return terms_.heaps[at(h)]; }
  const HeapGrain& grain(int s, int h) const { return programme_.grain[at(s)][at(h)]; }

  void first_stage();
  void scenario(int s);
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
  // Of the scenario at hand. [line][month], [month], [outlet][month]; -1 where there is no row.
  std::vector<std::vector<int>> need_, ceiling_, outlet_;
  std::vector<std::vector<int>> share_;  // [limit][month]
  std::vector<int> malting_, store_, intake_, drying_;
  std::vector<std::vector<int>> balance_;  // [heap][month]; on farm: one row at month 0
  struct Leaving {
    int column, line, heap;
    double t_equiv;
  };
  std::vector<std::vector<Leaving>> leaving_;     // [month] flows
  std::vector<std::pair<int, int>> kept_;         // closing stock: (heap, column)
  std::vector<int> over_cap_, over_limit_;        // [contract]
  std::map<std::pair<int, int>, double> shared_;  // (row, column) coefficients summed over heaps
};

}  // namespace rickyard
