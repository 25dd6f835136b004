#include "reports/page_embed.h"

#include <cstddef>

namespace rickyard {
namespace {

bool follows(unsigned char c) { return (c & 0xC0u) == 0x80u; }

// Length of the well-formed UTF-8 sequence at `at`, 0 where there is none (Unicode 15, table 3-7).
std::size_t sequence_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : static_cast<unsigned char>(0); };
  const unsigned char a = byte(at), b = byte(at + 1);
  if (a < 0x80) return 1;
  if (a >= 0xC2 && a <= 0xDF) return follows(b) ? 2 : 0;
  if (a >= 0xE0 && a <= 0xEF) {
    const bool second = follows(b) && !(a == 0xE0 && b < 0xA0) && !(a == 0xED && b > 0x9F);
    return second && follows(byte(at + 2)) ? 3 : 0;
  }
  if (a >= 0xF0 && a <= 0xF4) {
    const bool second = follows(b) && !(a == 0xF0 && b < 0x90) && !(a == 0xF4 && b > 0x8F);
    return second && follows(byte(at + 2)) && follows(byte(at + 3)) ? 4 : 0;
  }
  return 0;
}

}  // namespace

std::string as_script_data(std::string_view plan_json) {
  std::string data;
  data.reserve(plan_json.size() + plan_json.size() / 64);
  for (std::size_t i = 0; i < plan_json.size();) {
    const std::size_t length = sequence_length(plan_json, i);
    if (length == 0) {
      data += "\xEF\xBF\xBD";
      ++i;
    } else if (plan_json[i] == '<') {
      data += "\\u003c";
      ++i;
    } else {
      data.append(plan_json.substr(i, length));
      i += length;
    }
  }
  return data;
}

std::string report_html(std::string_view plan_json) {
  std::string html(page_before_plan());
  html += as_script_data(plan_json);
  html += page_after_plan();
  return html;
}

}  // namespace rickyard
