// Compiled once for every instruction set (Highway) and chosen when the program runs. Nothing here fuses a multiplication with an addition,
// and every lane goes its own way, so the bits are the same on all of them.
#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "planner/supply/lane_grain.cpp"
#include <hwy/foreach_target.h>  // must come before highway.h
#include <hwy/highway.h>

#include <cmath>

#include "planner/supply/lane_grain.h"

HWY_BEFORE_NAMESPACE();
namespace rickyard::lane_grain::HWY_NAMESPACE {
namespace hn = hwy::HWY_NAMESPACE;

using D = hn::CappedTag<double, kLaneStep>;
using V = hn::Vec<D>;
using M = hn::Mask<D>;

HWY_INLINE V all(double value) { return hn::Set(D(), value); }
HWY_INLINE V within(V x, V low, V high) { return hn::Min(hn::Max(x, low), high); }
HWY_INLINE V at_least_0(V x) { return hn::Max(x, hn::Zero(D())); }

// e^x for x <= 708, 0 below -708: x = k ln 2 + r; 1 + r + r^2 x a polynomial of degree 9, fitted by Chebyshev's nodes on |r| <= ln 2 / 2
// (error 3e-18); 2^k by adding to the exponent, k from the low bits of a sum with 1.5 x 2^52.
HWY_INLINE V exponential(V given) {
  const D d;
  const hn::RebindToUnsigned<D> bits;
  const V least = all(-708.0), round = all(0x1.8p52);
  const V x = hn::Max(given, least);
  const V shifted = x * all(1.4426950408889634) + round, k = shifted - round;
  const V r = (x - k * all(6.93147180369123816490e-01)) - k * all(1.90821492927058770002e-10);
  const V r2 = r * r, r4 = r2 * r2, r8 = r4 * r4;
  const V low =
      (all(0.50000000000000011) + all(0.16666666666666671) * r) + (all(0.041666666666624157) + all(0.0083333333333261411) * r) * r2;
  const V high =
      (all(0.0013888888917198605) + all(0.00019841269874802192) * r) + (all(2.4801521319853262e-05) + all(2.7557255423854303e-06) * r) * r2;
  const V top = all(2.7620076928678543e-07) + all(2.5105207075274745e-08) * r;
  const V p = all(1) + (r + r2 * ((low + high * r4) + top * r8));
  const auto power = hn::ShiftLeft<52>(hn::BitCast(bits, shifted));
  return hn::IfThenElseZero(given >= least, hn::BitCast(d, hn::BitCast(bits, p) + power));
}

// (1 - Phi(z)) / exp(-z^2/2) for z >= 0: r x a polynomial of degree 20 in t = a - b r, r = 1 / (z + 4), t in -1..1 for z in 0..39, fitted
// by Chebyshev's nodes; error 1.1e-15 of the value. The mapping of the half line is that of Shepherd & Laframboise (1981).
HWY_INLINE V mills(V z) {
  const V r = all(1) / (z + all(4)), t = all(1.2051282051282051) - all(8.8205128205128212) * r;
  const V t2 = t * t, t4 = t2 * t2, t8 = t4 * t4;
  const V p0 = (all(0.81533839684251685) + all(-0.6212441022247307) * t) + (all(0.36390673682705155) + all(-0.15636995546755642) * t) * t2;
  const V p4 =
      (all(0.042906326776422761) + all(-0.0032588461984072812) * t) + (all(-0.0025014590486371674) + all(0.00073742097477235877) * t) * t2;
  const V p8 = (all(0.00014720799815351487) + all(-8.8470630081439319e-05) * t) +
               (all(-1.3621990428388889e-05) + all(1.0465409446289938e-05) * t) * t2;
  const V p12 = (all(2.1831381957306172e-06) + all(-1.2170064341098388e-06) * t) +
                (all(-4.3375198734920975e-07) + all(1.1921096552857585e-07) * t) * t2;
  const V p16 = (all(8.1921495485537449e-08) + all(-6.4157954690170174e-09) * t) +
                (all(-1.2302819749180885e-08) + all(-1.8020066108471479e-10) * t) * t2;
  const V high = p16 + all(1.0620152367330633e-09) * t4;
  return r * ((p0 + p4 * t4) + ((p8 + p12 * t4) + high * t8) * t8);
}

// One bound in standard units, as bands::Bound, and what the joint law says there.
struct Bound {
  V tail, density;
  M upper;
  V excess, pull;
};

HWY_INLINE Bound lowest() {
  const V zero = all(0);
  return {zero, zero, zero > zero, zero, zero};
}

HWY_INLINE Bound bound_at(V z) {
  const V e = exponential(all(-0.5) * z * z), zero = all(0);
  return {e * mills(hn::Abs(z)), e * all(0.3989422804014327), z > zero, zero, zero};
}

HWY_INLINE V mass_between(const Bound& low, const Bound& high) {
  const V between = all(1) - low.tail - high.tail;
  const V below = at_least_0(high.tail - low.tail), above = at_least_0(low.tail - high.tail);
  return hn::IfThenElse(low.upper, above, hn::IfThenElse(high.upper, between, below));
}

HWY_INLINE M is_near(V z) { return hn::Abs(z) < all(FarmCorrelation::kFarthest); }

// FarmCorrelation::joint.
HWY_INLINE void set_joint(const FarmCorrelation& farms, const LaneNode* nodes, V z, Bound& out) {
  V excess = all(0), pull = all(0);
  for (std::size_t i = 0; i < static_cast<std::size_t>(farms.nodes); ++i) {
    const V e = all(nodes[i].weight) * exponential((all(farms.square[i]) * z + all(nodes[i].linear)) * z);
    excess = excess + e;
    pull = pull + e * (all(nodes[i].by_z) * z + all(nodes[i].by_k));
  }
  out.excess = hn::IfThenElseZero(is_near(z), excess);
  out.pull = hn::IfThenElseZero(is_near(z), pull);
}

HWY_INLINE V joint_excess(const FarmCorrelation& farms, const LaneNode* nodes, V z) {
  V excess = all(0);
  for (std::size_t i = 0; i < static_cast<std::size_t>(farms.nodes); ++i)
    excess = excess + all(nodes[i].weight) * exponential((all(farms.square[i]) * z + all(nodes[i].linear)) * z);
  return hn::IfThenElseZero(is_near(z), excess);
}

struct Law {
  std::array<double, BandShares::kCount + 1> x;
  const FarmCorrelation& farms;
  double sigma = 0;
  HWY_INLINE V standard(std::size_t b, V n) const { return (all(x[b]) - n) * all(1 / sigma); }
};

struct Totals {
  V band_t[BandShares::kCount], band_n[BandShares::kCount];
  V nitrogen, screenings, germination, other;
};

// One unit, as band_shares. kWhole: everything; else only band_t of the bands that qualify.
template <bool kWhole>
HWY_INLINE void add_unit(const Law& law, const UnitLane& unit, const LaneNode* nodes, V shift, Totals& totals) {
  const V n = all(unit.n_pct) + shift, zero = all(0);
  const auto bound = [&](std::size_t b) HWY_ATTR {
    const V z = law.standard(b, n);
    Bound out = bound_at(z);
    if (unit.joint && kWhole) set_joint(law.farms, nodes, z, out);
    if (unit.joint && !kWhole) out.excess = joint_excess(law.farms, nodes, z);
    return out;
  };
  Bound low = std::isinf(law.x[0]) ? lowest() : bound(0);
  V in_spec = zero, in_spec_fine = zero;
  for (std::size_t b = 0; b < (kWhole ? BandShares::kCount : 3); ++b) {
    if (!(law.x[b + 1] > law.x[b])) continue;
    const Bound high = bound(b + 1);
    const V mass = mass_between(low, high);
    V passing = mass * all(unit.fine);
    if (unit.joint) passing = within(passing + (high.excess - low.excess), zero, mass);
    const V t = all(unit.sound_t) * passing;
    totals.band_t[b] = totals.band_t[b] + t;
    if (kWhole) {
      V weight = mass, rise = low.density - high.density;
      if (unit.joint) {
        const M some = passing > all(bands::kLeastJoint);
        const V leaning = rise * all(unit.fine) - all(unit.tilt) * mass + (low.pull - high.pull);
        weight = hn::IfThenElse(some, passing, weight);
        rise = hn::IfThenElse(some, leaning, rise);
      }
      const M held = weight > all(1e-300);
      const V mean = within(n + all(law.sigma) * rise / hn::IfThenElse(held, weight, all(1)), all(law.x[b]), all(law.x[b + 1]));
      totals.band_n[b] = totals.band_n[b] + t * hn::IfThenElse(held, mean, all(bands::middle(law.x[b], law.x[b + 1])));
      if (b < 3) {
        in_spec = in_spec + mass;
        in_spec_fine = in_spec_fine + passing;
      }
    }
    low = high;
  }
  if (kWhole) {
    totals.nitrogen = totals.nitrogen + all(unit.t) * (all(1) - in_spec);
    totals.screenings = totals.screenings + all(unit.t) * (in_spec - in_spec_fine);
    totals.germination = totals.germination + all(unit.germination_t) * in_spec_fine;
    totals.other = totals.other + all(unit.other_t) * in_spec_fine;
  }
}

HWY_INLINE void put(V value, std::vector<double>& to, std::size_t i) { hn::StoreU(value, D(), to.data() + i); }

template <bool kWhole>
HWY_INLINE void sum_units(const BandLimits& limits, const FarmCorrelation& farms, double sigma, const UnitLanes& lanes,
                          std::span<const double> n_shift_pct, BandSums& out) {
  const Law law{band_bounds(limits), farms, sigma};
  for (std::size_t i = 0; i < n_shift_pct.size(); i += hn::Lanes(D())) {
    const V shift = hn::LoadU(D(), n_shift_pct.data() + i), zero = all(0);
    Totals totals{{zero, zero, zero, zero}, {zero, zero, zero, zero}, zero, zero, zero, zero};
    for (std::size_t k = 0; k < lanes.units.size(); ++k)
      add_unit<kWhole>(law, lanes.units[k], lanes.nodes.data() + k * static_cast<std::size_t>(farms.nodes), shift, totals);
    for (std::size_t b = 0; b < (kWhole ? BandShares::kCount : 3); ++b) put(totals.band_t[b], out.band_t[b], i);
    if (!kWhole) continue;
    for (std::size_t b = 0; b < BandShares::kCount; ++b) put(totals.band_n[b], out.band_n[b], i);
    put(totals.nitrogen, out.rejected_nitrogen_t, i);
    put(totals.screenings, out.rejected_screenings_t, i);
    put(totals.germination, out.rejected_germination_t, i);
    put(totals.other, out.rejected_other_t, i);
  }
}

void sum_bands(const BandLimits& limits, const FarmCorrelation& farms, double sigma, const UnitLanes& lanes,
               std::span<const double> n_shift_pct, BandSums& out) {
  sum_units<true>(limits, farms, sigma, lanes, n_shift_pct, out);
}

void sum_qualifying(const BandLimits& limits, const FarmCorrelation& farms, double sigma, const UnitLanes& lanes,
                    std::span<const double> n_shift_pct, BandSums& out) {
  sum_units<false>(limits, farms, sigma, lanes, n_shift_pct, out);
}

// What thin_grain needs of one bound of N: the law as it is and weighed by screenings.
struct ThinAt {
  Bound plain, weighed;
  V most, free, weighed_most, weighed_free;  // joint excess with each bound of screenings
};

HWY_INLINE ThinAt lowest_thin() {
  const V zero = all(0);
  return {lowest(), lowest(), zero, zero, zero, zero};
}

HWY_INLINE ThinAt thin_bound(const Law& law, const LaneNode* nodes, double weighed_shift, std::size_t b, V n) {
  const V z = law.standard(b, n), w = z - all(weighed_shift);
  const auto count = static_cast<std::size_t>(law.farms.nodes);
  return {bound_at(z),
          bound_at(w),
          joint_excess(law.farms, nodes + kMost * count, z),
          joint_excess(law.farms, nodes + kFree * count, z),
          joint_excess(law.farms, nodes + kWeighedMost * count, w),
          joint_excess(law.farms, nodes + kWeighedFree * count, w)};
}

HWY_INLINE void add_thin(const Law& law, const ThinLane& unit, const LaneNode* nodes, double weighed_shift, double free_pct, V shift,
                         V* screenings, V* excess) {
  const V n = all(unit.n_pct) + shift, mean = all(unit.screenings_pct);
  ThinAt low = std::isinf(law.x[0]) ? lowest_thin() : thin_bound(law, nodes, weighed_shift, 0, n);
  for (std::size_t b = 0; b < BandShares::kCount; ++b) {
    if (!(law.x[b + 1] > law.x[b])) continue;
    const ThinAt high = thin_bound(law, nodes, weighed_shift, b + 1, n);
    const V mass = mass_between(low.plain, high.plain), weighed_mass = mass_between(low.weighed, high.weighed);
    const V of_all = mean * (weighed_mass * all(unit.below[kWeighedMost]) + (high.weighed_most - low.weighed_most));
    const V of_fine = mean * (weighed_mass * all(unit.below[kWeighedFree]) + (high.weighed_free - low.weighed_free));
    const V over = (mass * all(unit.below[kMost]) + (high.most - low.most)) - (mass * all(unit.below[kFree]) + (high.free - low.free));
    screenings[b] = screenings[b] + all(unit.sound_t) * at_least_0(of_all);
    excess[b] = excess[b] + all(unit.sound_t) * at_least_0(of_all - of_fine - all(free_pct) * over);
    low = high;
  }
}

void sum_screenings(const BandLimits& limits, const FarmCorrelation& farms, double sigma, double weighed_shift, double free_pct,
                    const ThinLanes& lanes, std::span<const double> n_shift_pct, ThinSums& out) {
  const Law law{band_bounds(limits), farms, sigma};
  for (std::size_t i = 0; i < n_shift_pct.size(); i += hn::Lanes(D())) {
    const V shift = hn::LoadU(D(), n_shift_pct.data() + i), zero = all(0);
    V screenings[BandShares::kCount] = {zero, zero, zero, zero}, excess[BandShares::kCount] = {zero, zero, zero, zero};
    for (std::size_t k = 0; k < lanes.units.size(); ++k)
      add_thin(law, lanes.units[k], lanes.nodes.data() + k * kThinBounds * static_cast<std::size_t>(farms.nodes), weighed_shift, free_pct,
               shift, screenings, excess);
    for (std::size_t b = 0; b < BandShares::kCount; ++b) {
      put(screenings[b], out.screenings[b], i);
      put(excess[b], out.excess[b], i);
    }
  }
}

void exponentials(std::span<const double> x, std::span<double> out) {
  for (std::size_t i = 0; i < x.size(); i += hn::Lanes(D())) hn::StoreU(exponential(hn::LoadU(D(), x.data() + i)), D(), out.data() + i);
}

void normal_tails(std::span<const double> z, std::span<double> out) {
  for (std::size_t i = 0; i < z.size(); i += hn::Lanes(D())) hn::StoreU(bound_at(hn::LoadU(D(), z.data() + i)).tail, D(), out.data() + i);
}

}  // namespace rickyard::lane_grain::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace rickyard {
namespace lane_grain {
HWY_EXPORT(sum_bands);
HWY_EXPORT(sum_qualifying);
HWY_EXPORT(sum_screenings);
HWY_EXPORT(exponentials);
HWY_EXPORT(normal_tails);
}  // namespace lane_grain

void add_lane_nodes(const FarmCorrelation& farms, double k, std::vector<LaneNode>& nodes) {
  const bool near = std::abs(k) < FarmCorrelation::kFarthest;
  for (std::size_t i = 0; i < static_cast<std::size_t>(farms.nodes); ++i)
    nodes.push_back(
        near ? LaneNode{farms.weight[i] * std::exp(farms.square[i] * k * k), farms.product[i] * k, farms.by_h[i], farms.by_k[i] * k}
             : LaneNode{});
}

void sum_bands(const BandLimits& limits, const FarmCorrelation& farms, double n_sigma, const UnitLanes& lanes,
               std::span<const double> n_shift_pct, BandSums& out) {
  for (auto* figures : {&out.band_t, &out.band_n})
    for (auto& figure : *figures) figure.assign(n_shift_pct.size(), 0);
  for (auto* figure : {&out.rejected_nitrogen_t, &out.rejected_screenings_t, &out.rejected_germination_t, &out.rejected_other_t})
    figure->assign(n_shift_pct.size(), 0);
  using namespace lane_grain;
  HWY_DYNAMIC_DISPATCH(sum_bands)(limits, farms, n_sigma, lanes, n_shift_pct, out);
}

void sum_qualifying(const BandLimits& limits, const FarmCorrelation& farms, double n_sigma, const UnitLanes& lanes,
                    std::span<const double> n_shift_pct, BandSums& out) {
  for (auto& figure : out.band_t) figure.assign(n_shift_pct.size(), 0);
  using namespace lane_grain;
  HWY_DYNAMIC_DISPATCH(sum_qualifying)(limits, farms, n_sigma, lanes, n_shift_pct, out);
}

void sum_screenings(const BandLimits& limits, const FarmCorrelation& farms, double n_sigma, double weighed_shift, double free_pct,
                    const ThinLanes& lanes, std::span<const double> n_shift_pct, ThinSums& out) {
  for (auto* figures : {&out.screenings, &out.excess})
    for (auto& figure : *figures) figure.assign(n_shift_pct.size(), 0);
  using namespace lane_grain;
  HWY_DYNAMIC_DISPATCH(sum_screenings)(limits, farms, n_sigma, weighed_shift, free_pct, lanes, n_shift_pct, out);
}

void exponentials(std::span<const double> x, std::span<double> out) {
  using namespace lane_grain;
  HWY_DYNAMIC_DISPATCH(exponentials)(x, out);
}

void normal_tails(std::span<const double> z, std::span<double> out) {
  using namespace lane_grain;
  HWY_DYNAMIC_DISPATCH(normal_tails)(z, out);
}

}  // namespace rickyard
#endif  // HWY_ONCE
