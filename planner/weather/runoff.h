#pragma once
// Direct runoff of a day by the curve number (USDA-NRCS National Engineering Handbook, part 630, chapter 10).
namespace rickyard {

/// Potential retention S in mm; curve_number in (0, 100].
inline double retention_mm(double curve_number) { return 25400 / curve_number - 254; }

/// Runoff in mm of a day's rain; initial abstraction 0.2 S. 0 <= result <= rain_mm.
inline double runoff_mm(double rain_mm, double retention) {
  const double excess = rain_mm - 0.2 * retention;
  if (!(excess > 0)) return 0;
  return excess * excess / (excess + retention);
}

}  // namespace rickyard
