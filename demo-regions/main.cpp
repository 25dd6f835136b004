// rickyard-demo: writes the season folder of an invented archipelago.
#include <charconv>
#include <cstdio>
#include <exception>
#include <string>
#include <string_view>

#include "demo-regions/season_folder.h"

namespace {

constexpr const char* kHelp =
    "rickyard-demo [FOLDER] [--seed N] [--years N] [--templates FOLDER]\n"
    "Writes the demo season: weather of 31 years, soils, regions, deliveries and tables. The same seed gives the same bytes.\n"
    "  FOLDER       where to write (default demo-regions/made)\n"
    "  --seed N     another archipelago and another run of weather (default 7)\n"
    "  --years N    only the last N years to 2026, for a quick trial\n"
    "  --templates  folder of season.toml and tables to copy\n"
    "Example: rickyard-demo demo-regions/made\n";

bool whole_number(std::string_view text, int& value) {
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc() && end == text.data() + text.size() && value >= 0;
}

}  // namespace

int main(int count, char** words) {
  rickyard::demo::DemoChoice choice{"demo-regions/made", RICKYARD_DEMO_TEMPLATES};
  bool folder_given = false;
  for (int i = 1; i < count; ++i) {
    const std::string_view word = words[i];
    if (word == "--help") return std::fputs(kHelp, stdout) < 0 ? 1 : 0;
    int number = 0;
    const bool has_next = i + 1 < count;
    if (word == "--seed" && has_next && whole_number(words[i + 1], number)) {
      choice.seed = static_cast<unsigned>(number), ++i;
    } else if (word == "--years" && has_next && whole_number(words[i + 1], number)) {
      choice.years = number, ++i;
    } else if (word == "--templates" && has_next) {
      choice.templates = words[++i];
    } else if (!word.starts_with('-') && !folder_given) {
      choice.folder = word, folder_given = true;
    } else {
      std::fprintf(stderr, "rickyard-demo: cannot use '%s'\n%s", words[i], kHelp);
      return 2;
    }
  }
  try {
    rickyard::demo::make_season_folder(choice);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "rickyard-demo: %s\n", error.what());
    return 5;
  }
  std::printf("%s\n", choice.folder.c_str());
  return 0;
}
