#include "planner/supply/contract_draws.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "planner/supply/shift_nodes.h"

namespace rickyard {
namespace {

double screenings_bound(const BandLimits& limits, const ContractGrain& grain, const UnitHarvest& unit) {
  return (limits.ln_screenings_max - unit.ln_screenings) / grain.screenings_sigma;
}

UnitLane unit_lane(const BandLimits& limits, const ContractGrain& grain, const UnitHarvest& unit, double share) {
  UnitLane lane;
  const double k = screenings_bound(limits, grain, unit);
  lane.n_pct = unit.n_pct;
  lane.t = share * unit.yield_t_ha;
  lane.sound_t = lane.t * (1 - unit.germination_failure) * (1 - unit.other_failure);
  lane.germination_t = lane.t * unit.germination_failure;
  lane.other_t = lane.t * (1 - unit.germination_failure) * unit.other_failure;
  lane.fine = 1 - screenings_failure(unit.ln_screenings, grain.screenings_sigma, limits.ln_screenings_max);
  lane.joint = grain.farms.rho != 0 && std::abs(k) < FarmCorrelation::kFarthest;
  if (!lane.joint) return lane;
  lane.tilt = grain.farms.rho * bands::density(k);
  return lane;
}

void add_thin_lane(const BandLimits& limits, double free_pct, const ContractGrain& grain, const UnitHarvest& unit, double share,
                   ThinLanes& lanes) {
  ThinLane lane;
  const double s = grain.screenings_sigma, most = screenings_bound(limits, grain, unit);
  const double free = (std::min(std::log(free_pct), limits.ln_screenings_max) - unit.ln_screenings) / s;
  lane.n_pct = unit.n_pct;
  lane.sound_t = share * unit.yield_t_ha * (1 - unit.germination_failure) * (1 - unit.other_failure);
  lane.screenings_pct = std::exp(unit.ln_screenings + 0.5 * s * s);
  const std::array<double, kThinBounds> bounds = {most, free, most - s, free - s};
  for (std::size_t i = 0; i < kThinBounds; ++i) {
    lane.below[i] = bands::below(bounds[i]);
    add_lane_nodes(grain.farms, bounds[i], lanes.nodes);
  }
  lanes.units.push_back(lane);
}

// Filled up to whole steps; what is reckoned there is not read.
std::vector<double> whole_steps(std::span<const double> shifts) {
  std::vector<double> out(shifts.begin(), shifts.end());
  out.resize((shifts.size() + kLaneStep - 1) / kLaneStep * kLaneStep, 0);
  return out;
}

using FigureList = std::vector<std::vector<double>*>;

FigureList qualifying_figures(BandSums& sums) { return {&sums.band_t[0], &sums.band_t[1], &sums.band_t[2]}; }
FigureList last_band_figures(BandSums& sums) { return {&sums.band_t[3], &sums.band_n[3]}; }
FigureList all_figures(BandSums& sums) {
  FigureList out{&sums.rejected_nitrogen_t, &sums.rejected_screenings_t, &sums.rejected_germination_t, &sums.rejected_other_t};
  for (std::size_t b = 0; b < kBands; ++b)
    for (auto* figure : {&sums.band_t[b], &sums.band_n[b]}) out.push_back(figure);
  return out;
}

double qualifying(const BandSums& sums, double hectares, std::size_t d) {
  return hectares * sums.band_t[0][d] + hectares * sums.band_t[1][d] + hectares * sums.band_t[2][d];
}

}  // namespace

void ContractDraws::take_row(const ContractGrain& grain, int year, int variant) {
  units_.units.clear();
  units_.nodes.clear();
  yield_t_ha_ = n_ = screenings_ = 0;
  for (std::size_t k = 0; k < grain.forecast->units.size(); ++k) {
    const auto& unit = grain.forecast->at(year, static_cast<int>(k), variant);
    units_.units.push_back(unit_lane(limits_, grain, unit, grain.forecast->share[k]));
    add_lane_nodes(grain.farms, screenings_bound(limits_, grain, unit), units_.nodes);
    const double t = units_.units.back().t;
    yield_t_ha_ += t;
    n_ += t * unit.n_pct;
    screenings_ += t * std::exp(unit.ln_screenings);
  }
}

void ContractDraws::sum_directly(const ContractGrain& grain, double sigma, std::span<const double> n_shift_pct, Figures figures,
                                 BandSums& out) {
  const auto shifts = whole_steps(n_shift_pct);
  if (figures == Figures::all)
    sum_bands(limits_, grain.farms, sigma, units_, shifts, out);
  else
    sum_qualifying(limits_, grain.farms, sigma, units_, shifts, out);
}

// A row's sums are smooth functions of the shift of N, so that a few shifts tell those of all draws.
void ContractDraws::sum_draws(const ContractGrain& grain, double sigma, std::span<const double> n_shift_pct, Figures figures) {
  if (sum_by_nodes(grain, sigma, n_shift_pct, figures))
    replace_small(grain, sigma, n_shift_pct, figures);
  else
    sum_directly(grain, sigma, n_shift_pct, figures, sums_);
}

// False where it would be no less work, or not exact enough.
bool ContractDraws::sum_by_nodes(const ContractGrain& grain, double sigma, std::span<const double> n_shift_pct, Figures figures) {
  constexpr double kMostTail = 1e-13, kMostTailOfN = 2e-14;  // of all grain
  double reach = 0;
  for (double shift : n_shift_pct) reach = std::max(reach, std::abs(shift));
  const std::size_t count = ShiftNodes::count_for(reach / (sigma * std::sqrt(1 - grain.farms.rho * grain.farms.rho)));
  if (!(reach > 0) || 4 * count > 3 * n_shift_pct.size()) return false;
  const ShiftNodes nodes(count, reach);
  sum_directly(grain, sigma, nodes.at(), figures, some_sums_);
  for (std::size_t b = 0; b < 3; ++b)
    if (!(nodes.tail(some_sums_.band_t[b]) <= kMostTail * yield_t_ha_)) return false;
  bool smooth_n = true;  // kLeastJoint makes a step, seen where a unit of some weight passes it
  for (std::size_t b = 0; b < kBands && figures == Figures::all; ++b)
    smooth_n = smooth_n && nodes.tail(some_sums_.band_n[b]) <= kMostTailOfN * yield_t_ha_;
  const auto weights = nodes.weights(n_shift_pct);
  const std::size_t draws = n_shift_pct.size();
  const auto figures_of = figures == Figures::all ? all_figures : qualifying_figures;
  const FigureList from = figures_of(some_sums_), to = figures_of(sums_);
  for (std::size_t i = 0; i < to.size(); ++i) {
    to[i]->assign(draws, 0);
    double* out = to[i]->data();
    for (std::size_t j = 0; j < count; ++j) {
      const double value = (*from[i])[j];
      const double* weight = weights.data() + j * draws;
      for (std::size_t d = 0; d < draws; ++d) out[d] += weight[d] * value;
    }
  }
  if (!smooth_n) {
    sum_directly(grain, sigma, n_shift_pct, figures, some_sums_);
    sums_.band_n = some_sums_.band_n;
  }
  return true;
}

// The mean N of a band needs more digits of its tonnes where it holds little: those draws are reckoned one by one.
void ContractDraws::replace_small(const ContractGrain& grain, double sigma, std::span<const double> n_shift_pct, Figures figures) {
  constexpr double kSmall = 1e-3;  // of all grain
  const auto x = band_bounds(limits_);
  const auto replace = [&](std::size_t from_band, std::size_t to_band, FigureList (*figures_of)(BandSums&)) {
    std::vector<std::size_t> at;
    std::vector<double> shifts;
    for (std::size_t d = 0; d < n_shift_pct.size(); ++d)
      for (std::size_t b = from_band; b < to_band; ++b)
        if (x[b + 1] > x[b] && !(sums_.band_t[b][d] >= kSmall * yield_t_ha_)) {
          at.push_back(d);
          shifts.push_back(n_shift_pct[d]);
          break;
        }
    if (at.empty()) return;
    sum_directly(grain, sigma, shifts, figures, some_sums_);
    const FigureList from = figures_of(some_sums_), to = figures_of(sums_);
    for (std::size_t i = 0; i < to.size(); ++i)
      for (std::size_t d = 0; d < at.size(); ++d) (*to[i])[at[d]] = (*from[i])[d];
  };
  if (figures == Figures::qualifying) {
    replace(0, 3, qualifying_figures);
  } else {
    replace(3, kBands, last_band_figures);
    replace(0, 3, all_figures);
  }
}

void ContractDraws::evaluate(const ContractGrain& grain, int year, int variant, const RowDraws& draws, std::size_t with_screenings,
                             std::span<ContractScenario> out) {
  take_row(grain, year, variant);
  sum_draws(grain, grain.sigma(year, variant), draws.n_shift_pct, Figures::all);
  const auto x = band_bounds(limits_);
  for (std::size_t d = 0; d < draws.size(); ++d) {
    const double hectares = grain.harvested_ha * draws.yield_factor[d], shift = draws.n_shift_pct[d];
    const double undefined = std::numeric_limits<double>::quiet_NaN();
    ContractScenario row;
    row.harvested_ha = grain.harvested_ha;
    row.offered_t = hectares * yield_t_ha_;
    row.yield_t_ha = grain.harvested_ha > 0 ? row.offered_t / grain.harvested_ha : 0;
    row.qualifying_t = qualifying(sums_, hectares, d);
    row.n_pct = row.offered_t > 0 ? n_ / yield_t_ha_ + shift : undefined;
    row.screenings_pct = row.offered_t > 0 ? screenings_ / yield_t_ha_ : 0;
    row.rejected_nitrogen_t = hectares * sums_.rejected_nitrogen_t[d];
    row.rejected_screenings_t = hectares * sums_.rejected_screenings_t[d];
    row.rejected_germination_t = hectares * sums_.rejected_germination_t[d];
    row.rejected_other_t = hectares * sums_.rejected_other_t[d];
    double accepted_n = 0;
    for (std::size_t b = 0; b < kBands; ++b) {
      row.band_t[b] = hectares * sums_.band_t[b][d];
      if (b < 3) accepted_n += hectares * sums_.band_n[b][d];
      if (row.band_t[b] > 0) {
        row.band_n_pct[b] = sums_.band_n[b][d] / sums_.band_t[b][d];
      } else if (x[b + 1] > x[b]) {  // the first unit's figure: the middle where the band holds none of its grain
        const auto& first = grain.forecast->at(year, 0, variant);
        row.band_n_pct[b] =
            band_shares(limits_, farms_of(grain, first, first.n_pct + shift, grain.sigma(year, variant)), grain.farms).n_pct[b];
      } else {
        row.band_n_pct[b] = bands::middle(x[b], x[b + 1]);
      }
    }
    row.with_claim_t = row.band_t[2];
    row.n_accepted_pct = row.qualifying_t > 0 ? accepted_n / row.qualifying_t : undefined;
    out[d] = row;
  }
  if (with_screenings > 0)
    set_screenings(grain, year, variant, std::span(draws.n_shift_pct).first(with_screenings), out.first(with_screenings));
}

// set_band_screenings for the first draws that sums_ holds.
void ContractDraws::set_screenings(const ContractGrain& grain, int year, int variant, std::span<const double> n_shift_pct,
                                   std::span<ContractScenario> out) {
  thin_.units.clear();
  thin_.nodes.clear();
  for (std::size_t k = 0; k < grain.forecast->units.size(); ++k)
    add_thin_lane(limits_, free_pct_, grain, grain.forecast->at(year, static_cast<int>(k), variant), grain.forecast->share[k], thin_);
  sum_screenings(limits_, grain.farms, grain.sigma(year, variant), grain.farms.rho * grain.screenings_sigma, free_pct_, thin_,
                 whole_steps(n_shift_pct), thin_sums_);
  for (std::size_t d = 0; d < out.size(); ++d)
    for (std::size_t b = 0; b < kBands; ++b)
      set_thin_band(limits_, free_pct_, {sums_.band_t[b][d], yield_t_ha_, thin_sums_.screenings[b][d], thin_sums_.excess[b][d]}, b, out[d]);
}

void ContractDraws::totals(const ContractGrain& grain, int year, int variant, const RowDraws& draws, std::span<double> offered_t,
                           std::span<double> qualifying_t) {
  take_row(grain, year, variant);
  sum_draws(grain, grain.sigma(year, variant), draws.n_shift_pct, Figures::qualifying);
  for (std::size_t d = 0; d < draws.size(); ++d) {
    const double hectares = grain.harvested_ha * draws.yield_factor[d];
    offered_t[d] = hectares * yield_t_ha_;
    qualifying_t[d] = qualifying(sums_, hectares, d);
  }
}

}  // namespace rickyard
