#pragma once
// Stochastic programmes with published answers, as two-stage problems of our own.
#include "planner/sourcing/two_stage.h"

namespace rickyard::test {

/// The farmer's problem (Birge and Louveaux, Introduction to Stochastic Programming, section 1.1; check values, 8.1): acres of wheat, corn
/// and beets before the yields (low, mean, high) are known; then buy, sell, feed 200 t wheat and 240 t corn. Costs are losses.
TwoStage farmer();

/// Orders known ahead (integer "set up", tonnes ordered) against a demand that stock carries from period to period: lot sizing with one
/// scenario. `setup` and `holding` are per period.
TwoStage lot_sizing(const std::vector<double>& demand, const std::vector<double>& setup, double holding);

/// Order before demand is known: unit cost, price, salvage; one scenario for each entry of `demand`, equal weights.
TwoStage newsvendor(const std::vector<double>& demand, double cost, double price, double salvage);

/// Quantile of the standard normal distribution, by bisection of erfc; exact to 1e-12.
double normal_quantile(double p);

}  // namespace rickyard::test
