#pragma once
// One contract row in one weather year under all its residual draws at once: what evaluate_contract and set_band_screenings give draw by
// draw, but for rounding, at a small part of the work.
#include <span>
#include <vector>

#include "planner/supply/contract_grain.h"
#include "planner/supply/lane_grain.h"

namespace rickyard {

/// Residual draws of a row's region in one year, all with the same draw of the daily rain. Equal sizes.
struct RowDraws {
  std::vector<double> yield_factor, n_shift_pct;
  std::size_t size() const { return yield_factor.size(); }
};

/// Reckons one row after another; keeps its memory, so make one for each thread or year.
class ContractDraws {
 public:
  /// limits, free_pct (screenings free of claim): of the whole season.
  ContractDraws(const BandLimits& limits, double free_pct) : limits_(limits), free_pct_(free_pct) {}

  /// out: [draw] as evaluate_contract; the first `with_screenings` also as set_band_screenings.
  void evaluate(const ContractGrain& grain, int year, int variant, const RowDraws& draws, std::size_t with_screenings,
                std::span<ContractScenario> out);
  /// [draw] offered_t and qualifying_t of `evaluate`, the same bits.
  void totals(const ContractGrain& grain, int year, int variant, const RowDraws& draws, std::span<double> offered_t,
              std::span<double> qualifying_t);

 private:
  enum class Figures { qualifying, all };
  void take_row(const ContractGrain& grain, int year, int variant);
  void sum_draws(const ContractGrain& grain, double sigma, std::span<const double> n_shift_pct, Figures figures);
  bool sum_by_nodes(const ContractGrain& grain, double sigma, std::span<const double> n_shift_pct, Figures figures);
  void sum_directly(const ContractGrain& grain, double sigma, std::span<const double> n_shift_pct, Figures figures, BandSums& out);
  void replace_small(const ContractGrain& grain, double sigma, std::span<const double> n_shift_pct, Figures figures);
  void set_screenings(const ContractGrain& grain, int year, int variant, std::span<const double> n_shift_pct,
                      std::span<ContractScenario> out);
  BandLimits limits_;
  double free_pct_;
  // Of the row and year taken last, per harvested hectare at a yield factor of 1.
  double yield_t_ha_ = 0, n_ = 0, screenings_ = 0;  // tonnes; tonnes x mean N; tonnes x median screenings
  UnitLanes units_;
  ThinLanes thin_;
  BandSums sums_, some_sums_;
  ThinSums thin_sums_;
};

}  // namespace rickyard
