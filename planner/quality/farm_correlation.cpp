#include "planner/quality/farm_correlation.h"

#include <boost/math/quadrature/gauss.hpp>
#include <numbers>
#include <stdexcept>

namespace rickyard {
namespace {

// The n-point rule on 0..upper; Boost lists the nodes of -1..1 that are not negative.
template <unsigned n>
void place_nodes(double upper, FarmCorrelation& out) {
  using Rule = boost::math::quadrature::gauss<double, n>;
  const auto add = [&](double x, double weight) {
    const double t = 0.5 * upper * (1 + x), cosine = std::cos(t);
    const auto i = static_cast<std::size_t>(out.nodes++);
    out.weight[i] = 0.5 * upper * weight / (2 * std::numbers::pi);
    out.square[i] = -0.5 / (cosine * cosine);
    out.product[i] = std::sin(t) / (cosine * cosine);
    out.by_h[i] = 2 * out.square[i] + out.rho * out.product[i];
    out.by_k[i] = out.product[i] + 2 * out.rho * out.square[i];
  };
  for (std::size_t i = 0; i < Rule::abscissa().size(); ++i) {
    add(Rule::abscissa()[i], Rule::weights()[i]);
    if (Rule::abscissa()[i] != 0) add(-Rule::abscissa()[i], Rule::weights()[i]);
  }
}

}  // namespace

FarmCorrelation FarmCorrelation::of(double rho) {
  const double size = std::abs(rho);
  if (!(size <= 0.95)) throw std::invalid_argument("a correlation between farms must lie within -0.95 and 0.95");
  FarmCorrelation out;
  out.rho = rho;
  if (rho == 0) return out;
  const double upper = std::asin(rho);
  if (size <= 0.3)
    place_nodes<4>(upper, out);
  else if (size <= 0.7)
    place_nodes<7>(upper, out);
  else if (size <= 0.85)
    place_nodes<10>(upper, out);
  else
    place_nodes<20>(upper, out);
  return out;
}

}  // namespace rickyard
