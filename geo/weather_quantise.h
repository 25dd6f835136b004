#pragma once
// Weather values into the integers of the archive, a few lanes at a time.
#include <cstdint>

namespace rickyard {

/// One variable's rule. A value v is taken where lowest <= v + shift <= highest, as round((v + shift) x factor), halves away from zero.
/// All results must fit in 31 bits.
struct Quantising {
  double shift = 0, factor = 100;
  double lowest = 0, highest = 0;
};

/// n values (n <= 16) into `out`; what is not taken becomes `missing`. True where each value was taken or NaN.
bool quantise(const double* values, int n, const Quantising& rule, std::uint16_t missing, std::uint16_t* out);
bool quantise(const double* values, int n, const Quantising& rule, std::int16_t missing, std::int16_t* out);

}  // namespace rickyard
