#include "reports/plain_words.h"

#include <array>
#include <cmath>
#include <cstdlib>

namespace rickyard {
namespace {

constexpr std::array<const char*, 12> kMonths = {"January", "February", "March",     "April",   "May",      "June",
                                                 "July",    "August",   "September", "October", "November", "December"};

std::size_t characters(std::string_view text) {
  std::size_t n = 0;
  for (char c : text) n += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U ? 1 : 0;
  return n;
}

}  // namespace

std::string grouped(long long value) {
  std::string digits = std::to_string(std::llabs(value));
  for (auto at = static_cast<std::ptrdiff_t>(digits.size()) - 3; at > 0; at -= 3) digits.insert(static_cast<std::size_t>(at), ",");
  return (value < 0 ? "-" : "") + digits;
}

std::string tonnes_words(double t) {
  if (t > 0 && t < 0.5) return "under 1";
  return grouped(std::fabs(t) > 1000 ? 10 * std::llround(t / 10) : std::llround(t));
}

std::string money_words(double amount) {
  const double size = std::fabs(amount);
  double step = 1;
  while (size / step >= 1000) step *= 10;
  return grouped(std::llround(amount / step) * static_cast<long long>(step));
}

std::string percent_words(double share) {
  const double percent = 100 * share;
  if (percent > 0 && percent < 0.5) return "under 1 %";
  if (percent >= 99.5 && percent < 100 - 1e-7) return "over 99 %";
  return std::to_string(std::llround(percent)) + " %";
}

std::string chance_words(double chance) {
  const double hundred = 100 * chance;
  if (hundred <= 1e-7) return "none";
  if (hundred >= 100 - 1e-7) return "certain";
  if (hundred < 0.5) return "under 1 in 100";
  if (hundred >= 99.5) return "over 99 in 100";
  return std::to_string(std::llround(hundred)) + " in 100";
}

std::string date_words(const Date& date) {
  if (date.is_special()) return "no date";
  const std::string month = kMonths[static_cast<std::size_t>(date.month().as_number() - 1)];
  return std::to_string(date.day().as_number()) + " " + month.substr(0, 3) + " " + std::to_string(static_cast<int>(date.year()));
}

std::string month_words(const Month& month) {
  return std::string(kMonths[static_cast<std::size_t>(month.month - 1)]) + " " + std::to_string(month.year);
}

std::string without_controls(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto c = static_cast<unsigned char>(text[i]);
    if (c < 0x20 || c == 0x7F) continue;
    // U+0080 to U+009F, the control characters of Latin-1, are C2 80 to C2 9F in UTF-8.
    if (c == 0xC2 && i + 1 < text.size() && static_cast<unsigned char>(text[i + 1]) < 0xA0) {
      ++i;
      continue;
    }
    out += text[i];
  }
  return out;
}

std::string wrapped(const std::string& text, std::size_t width, const std::string& indent) {
  std::string out;
  std::size_t column = 0;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    std::string word = text.substr(at, end - at);
    if (column > 0 && column + 1 + characters(word) > width) {
      out += "\n" + indent;
      column = characters(indent);
    } else if (at > 0) {
      out += ' ';
      ++column;
    }
    out += word;
    column += characters(word);
    at = end + 1;
  }
  return out;
}

}  // namespace rickyard
