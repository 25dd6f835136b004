#include "geo/stored_values.h"

#include <cstdint>
#include <limits>

namespace rickyard {
namespace {

template <typename T>
void convert(const std::byte* bytes, std::size_t n, const Conversion& conversion, double* values) {
  const T* stored = reinterpret_cast<const T*>(bytes);
  const double missing = std::numeric_limits<double>::quiet_NaN();
  const auto [fill, single, scale, offset, factor, shift] = conversion;
  if (scale == 1 && offset == 0 && factor == 1 && fill != fill) {  // most files: the same sums, less work
    for (std::size_t i = 0; i < n; ++i) values[i] = static_cast<double>(stored[i]) + shift;
    return;
  }
  const float fill_single = single ? static_cast<float>(fill) : std::numeric_limits<float>::quiet_NaN();
  for (std::size_t i = 0; i < n; ++i) {
    const double value = static_cast<double>(stored[i]);
    const bool is_fill = (value == fill) | (static_cast<float>(stored[i]) == fill_single);
    const double converted = (value * scale + offset) * factor + shift;
    values[i] = is_fill ? missing : converted;
  }
}

}  // namespace

std::size_t bytes_of(StoredType type) {
  switch (type) {
    case StoredType::u8:
      return 1;
    case StoredType::i16:
    case StoredType::u16:
      return 2;
    case StoredType::i32:
    case StoredType::u32:
    case StoredType::f32:
      return 4;
    case StoredType::f64:
      break;
  }
  return 8;
}

Converter converter_of(StoredType type) {
  switch (type) {
    case StoredType::u8:
      return convert<std::uint8_t>;
    case StoredType::i16:
      return convert<std::int16_t>;
    case StoredType::u16:
      return convert<std::uint16_t>;
    case StoredType::i32:
      return convert<std::int32_t>;
    case StoredType::u32:
      return convert<std::uint32_t>;
    case StoredType::f32:
      return convert<float>;
    case StoredType::f64:
      break;
  }
  return convert<double>;
}

}  // namespace rickyard
