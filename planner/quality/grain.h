#pragma once
// Arithmetic of grain: moisture basis, headlands, nitrogen and protein.
namespace rickyard {

inline constexpr double kReferenceMoisturePct = 14.5;
inline constexpr double kProteinPerNitrogen = 6.25;  // barley and malt

/// Tonnes at base moisture: t (100 - moisture) / (100 - base). Moistures in percent, 0..100.
inline double moisture_corrected_t(double t, double moisture_pct, double base_pct = kReferenceMoisturePct) {
  return t * (100 - moisture_pct) / (100 - base_pct);
}

/// Yield of the whole field from an in-field yield: headlands of share h yield `loss` t/ha less (not below 0).
inline double whole_field_yield(double in_field_t_ha, double headland_share, double headland_loss_t_ha) {
  const double headland = in_field_t_ha > headland_loss_t_ha ? in_field_t_ha - headland_loss_t_ha : 0;
  return in_field_t_ha * (1 - headland_share) + headland * headland_share;
}

/// Grain nitrogen when a share x of the yield is lost to water: N0 (1 - k x) / (1 - x); k = 0 concentrates fully, k = 1 not at all. x < 1,
/// may be negative.
inline double diluted_n_pct(double n0_pct, double x, double k) { return n0_pct * (1 - k * x) / (1 - x); }

/// Protein of dry matter, percent.
inline double protein_pct(double n_pct) { return kProteinPerNitrogen * n_pct; }

}  // namespace rickyard
