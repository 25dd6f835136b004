#pragma once
// A smooth function of a shift, known at a few shifts, everywhere between: interpolation in Chebyshev's nodes.
#include <cstddef>
#include <span>
#include <vector>

namespace rickyard {

class ShiftNodes {
 public:
  /// As many as a normal law with a spread of 1 needs for 1e-13 when shifted by up to `reach` either way; a multiple of 8.
  static std::size_t count_for(double reach);

  /// Nodes on -reach..reach (> 0). count >= 8.
  ShiftNodes(std::size_t count, double reach);
  const std::vector<double>& at() const { return at_; }

  /// Largest of the last four Chebyshev coefficients of values at the nodes, without sign: about the error of interpolation.
  double tail(std::span<const double> values) const;
  /// [node][shift], shift fastest: what each node's value counts at each shift, which lies within the reach. Barycentric formula.
  std::vector<double> weights(std::span<const double> shifts) const;

 private:
  std::vector<double> at_, angle_;
};

}  // namespace rickyard
