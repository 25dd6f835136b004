#pragma once
// UTF-8, checked by RFC 3629: no overlong forms, no surrogates, nothing above U+10FFFF.
#include <cstddef>
#include <string_view>

namespace rickyard {

/// Bytes of the first character of `text`; 0 where it is not valid UTF-8 or text is empty.
std::size_t utf8_length(std::string_view text);

/// Byte offset of the first byte that is not valid UTF-8; npos where all is.
std::size_t first_invalid_utf8(std::string_view text);

}  // namespace rickyard
