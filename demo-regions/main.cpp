// rickyard-demo: writes the season folder of an invented archipelago.
#include <charconv>
#include <cstdio>
#include <exception>
#include <map>
#include <string>
#include <string_view>

#include "demo-regions/national.h"
#include "demo-regions/season_folder.h"

namespace {

constexpr const char* kHelp =
    "rickyard-demo [FOLDER] [--seed N] [--years N] [--templates FOLDER]\n"
    "Writes the demo season: weather of 31 years, soils, regions, deliveries and tables. The same seed gives the same bytes.\n"
    "  FOLDER       where to write (default demo-regions/made)\n"
    "  --seed N     another archipelago and another run of weather (default 7)\n"
    "  --years N    only the last N years to 2026, for a quick trial\n"
    "  --templates  folder of season.toml and tables to copy\n"
    "Example: rickyard-demo demo-regions/made\n"
    "\n"
    "rickyard-demo --national FOLDER [--seed N] [--years N] [--cells N] [--regions N] [--dates N] [--threads N] [--uncompressed]\n"
    "Writes a season for a whole country: the same islands stretched. By default 240,000 land cells of 1 km2, 31 years, about 7 GB.\n"
    "  --cells N    about so many land cells, of another size (240000)\n"
    "  --regions N  regions, a contract row each (200)\n"
    "  --dates N    planned sowing dates, dealt out among the rows (13)\n"
    "  --threads N  0 takes all cores; the same bytes on any number (0)\n"
    "  --uncompressed  rasters as they are\n"
    "Example: rickyard-demo --national /tmp/national --cells 24000\n";

bool whole_number(std::string_view text, int& value) {
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc() && end == text.data() + text.size() && value >= 0;
}

/// What was asked for; options that only one of the two seasons knows are kept by name.
struct Call {
  bool help = false, national = false, uncompressed = false;
  std::string folder, templates;
  std::map<std::string, int, std::less<>> numbers;  // --seed, --years, ...
  std::string wrong;                                // the word that cannot be used
};

Call read_call(int count, char** words) {
  Call call;
  for (int i = 1; i < count; ++i) {
    const std::string_view word = words[i];
    const bool has_next = i + 1 < count;
    int number = 0;
    if (word == "--help") {
      call.help = true;
    } else if (word == "--national") {
      call.national = true;
    } else if (word == "--uncompressed") {
      call.uncompressed = true;
    } else if (word == "--templates" && has_next) {
      call.templates = words[++i];
    } else if (word.starts_with("--") && has_next && whole_number(words[i + 1], number)) {
      call.numbers[std::string(word)] = number, ++i;
    } else if (!word.starts_with('-') && call.folder.empty()) {
      call.folder = word;
    } else {
      call.wrong = word;
      return call;
    }
  }
  for (const auto& [name, number] : call.numbers) {
    const bool shared = name == "--seed" || name == "--years";
    const bool wide = name == "--cells" || name == "--regions" || name == "--dates" || name == "--threads";
    if (!shared && !(call.national && wide)) call.wrong = name;
  }
  if (call.uncompressed && !call.national) call.wrong = "--uncompressed";
  if (call.national && call.folder.empty()) call.wrong = "--national without a folder";
  return call;
}

void make(const Call& call) {
  const auto take = [&](const char* name, auto& value) {
    if (const auto given = call.numbers.find(name); given != call.numbers.end())
      value = static_cast<std::remove_reference_t<decltype(value)>>(given->second);
  };
  if (!call.national) {
    rickyard::demo::DemoChoice choice{call.folder, call.templates.empty() ? RICKYARD_DEMO_TEMPLATES : call.templates};
    take("--seed", choice.seed), take("--years", choice.years);
    rickyard::demo::make_season_folder(choice);
    return;
  }
  rickyard::demo::NationalChoice choice{call.folder, call.templates.empty() ? RICKYARD_NATIONAL_TEMPLATES : call.templates};
  take("--seed", choice.seed), take("--years", choice.years), take("--cells", choice.cells), take("--regions", choice.regions);
  take("--dates", choice.dates), take("--threads", choice.threads);
  choice.compressed = !call.uncompressed;
  std::fprintf(stderr, "%zu land cells\n", rickyard::demo::make_national_season(choice));
}

}  // namespace

int main(int count, char** words) {
  Call call = read_call(count, words);
  if (call.help) return std::fputs(kHelp, stdout) < 0 ? 1 : 0;
  if (!call.wrong.empty()) {
    std::fprintf(stderr, "rickyard-demo: cannot use '%s'\n%s", call.wrong.c_str(), kHelp);
    return 2;
  }
  if (call.folder.empty()) call.folder = "demo-regions/made";
  try {
    make(call);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "rickyard-demo: %s\n", error.what());
    return 5;
  }
  std::printf("%s\n", call.folder.c_str());
  return 0;
}
