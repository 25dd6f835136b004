#pragma once
// Numbers as a raster file stores them, and their conversion to our units.
#include <cstddef>

namespace rickyard {

/// Kinds of numbers that are taken as they are; any other kind is read as f64.
enum class StoredType { u8, i16, u16, i32, u32, f32, f64 };
std::size_t bytes_of(StoredType type);

/// value = (stored x scale + offset) x factor + shift; NaN where stored is the fill. fill NaN: none. single: the fill is compared as a
/// 32-bit float as well.
struct Conversion {
  double fill = 0;
  bool single = false;
  double scale = 1, offset = 0, factor = 1, shift = 0;
};

/// Converts n numbers of one type.
using Converter = void (*)(const std::byte* stored, std::size_t n, const Conversion& conversion, double* values);
Converter converter_of(StoredType type);

}  // namespace rickyard
