#include "io/problem_list.h"

#include <fmt/format.h>

#include <algorithm>

#include "io/utf8.h"

namespace rickyard {

std::string to_text(const Place& place) {
  std::string text = place.file;
  if (place.row > 0) text += fmt::format(":{}", place.row);
  if (place.row > 0 && place.column > 0) text += fmt::format(":{}", place.column);
  if (!place.name.empty()) text += fmt::format(" ({})", place.name);
  return text;
}

std::string printable(std::string_view text, std::size_t longest) {
  std::string out;
  std::size_t characters = 0;
  while (!text.empty()) {
    if (++characters > longest) return out + "...";
    const std::size_t length = utf8_length(text);
    const auto first = static_cast<unsigned char>(text.front());
    if (length == 0 || first < 0x20 || first == 0x7f)
      out += '?';
    else
      out += text.substr(0, length);
    text.remove_prefix(std::max<std::size_t>(length, 1));
  }
  return out;
}

void ProblemList::add(Severity severity, Place place, std::string_view value, std::string message, std::string remedy) {
  place.name = printable(place.name);
  if (severity == Severity::error) errors_.emplace(place.file, place.row, place.name);
  Problem problem{severity, to_text(place), printable(value), std::move(message), std::move(remedy)};
  found_.push_back({std::move(place), std::move(problem)});
}

std::vector<Problem> ProblemList::sorted() const {
  std::vector<const Placed*> order;
  for (const auto& placed : found_) order.push_back(&placed);
  std::stable_sort(order.begin(), order.end(), [](const Placed* a, const Placed* b) {
    return std::tie(a->place.file, a->place.row, a->place.column) < std::tie(b->place.file, b->place.row, b->place.column);
  });
  std::vector<Problem> out;
  std::set<std::string> seen;
  for (const Placed* placed : order)
    if (seen.insert(to_text(placed->problem)).second) out.push_back(placed->problem);
  return out;
}

}  // namespace rickyard
