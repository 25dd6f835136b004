// Vectors of lanes for the two files of the fast kernel. Included once for every instruction set, after highway.h, inside
// HWY_BEFORE_NAMESPACE: no header of its own.
#if defined(RICKYARD_LANE_VECTOR_INL) == defined(HWY_TARGET_TOGGLE)
#ifdef RICKYARD_LANE_VECTOR_INL
#undef RICKYARD_LANE_VECTOR_INL
#else
#define RICKYARD_LANE_VECTOR_INL
#endif

#include "planner/crop/lanes.h"

HWY_BEFORE_NAMESPACE();
namespace rickyard::HWY_NAMESPACE {
namespace hn = hwy::HWY_NAMESPACE;

using D = hn::CappedTag<double, Lanes::kCount>;
using V = hn::Vec<D>;
using M = hn::Mask<D>;

HWY_INLINE V all(double value) { return hn::Set(D(), value); }
HWY_INLINE V at(const Lanes& lanes, std::size_t i) { return hn::Load(D(), lanes.data() + i); }
HWY_INLINE void put(V value, Lanes& lanes, std::size_t i) { hn::Store(value, D(), lanes.data() + i); }
// Like std::max(a, b) and std::min(a, b) for numbers.
HWY_INLINE V most(V a, V b) { return hn::IfThenElse(a < b, b, a); }
HWY_INLINE V least(V a, V b) { return hn::IfThenElse(b < a, b, a); }
HWY_INLINE V within(V x, V low, V high) { return least(most(x, low), high); }
HWY_INLINE V if_else(M m, V yes, V no) { return hn::IfThenElse(m, yes, no); }
HWY_INLINE M if_else_mask(M m, M yes, M no) { return hn::Or(hn::And(m, yes), hn::AndNot(m, no)); }

}  // namespace rickyard::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#endif
