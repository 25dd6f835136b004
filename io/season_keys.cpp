#include "io/season_keys.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <cmath>

#include "io/season_cells.h"
#include "planner/rules/season_defaults.h"
#include "planner/rules/season_visit.h"

namespace rickyard {
namespace {

constexpr std::string_view kTable = "season";

// "case[0].name" is listed in the reference as "case.name".
std::string listed_name(std::string_view dotted) {
  std::string name;
  bool inside = false;
  for (const char c : dotted) {
    inside = (inside || c == '[') && c != ']';
    if (!inside && c != ']') name += c;
  }
  return name;
}

const FieldSpec* key_field(std::string_view dotted) { return find_field(kTable, listed_name(dotted)); }

// Reads typed values from one TOML table; names are dotted and begin with `prefix`.
class KeyReader {
 public:
  KeyReader(const toml::table& root, std::string prefix, SeasonKeys& keys, Season& season, ProblemList& problems)
      : root_(root), prefix_(std::move(prefix)), keys_(keys), season_(season), problems_(problems) {}

  void operator()(std::string_view name, std::string& out) {
    const toml::node* node = find(name);
    if (node == nullptr || !is_text(name, *node)) return;
    out = node->value<std::string>().value_or("");
    if (out.empty() && key_field(prefix_ + std::string(name))->required()) fault(name, "", {"the text is empty", "fill it in"});
  }
  void operator()(std::string_view name, std::optional<double>& out) {
    if (const toml::node* node = find(name)) out = number(name, *node);
  }
  void operator()(std::string_view name, double& out) {
    if (const toml::node* node = find(name)) out = number(name, *node).value_or(out);
  }
  void operator()(std::string_view name, int& out) {
    if (const toml::node* node = find(name)) out = static_cast<int>(whole(name, *node, -2147483648.0, 2147483647.0).value_or(out));
  }
  void operator()(std::string_view name, unsigned& out) {
    if (const toml::node* node = find(name)) out = static_cast<unsigned>(whole(name, *node, 0, 4294967295.0).value_or(out));
  }
  void operator()(std::string_view name, Date& out) {
    const toml::node* node = find(name);
    if (node == nullptr) return;
    if (const auto date = node->value<toml::date>(); date && node->is_date()) {
      const auto iso = fmt::format("{:04}-{:02}-{:02}", date->year, date->month, date->day);
      take(name, iso, parse_day(iso, false), out);
    } else if (is_text(name, *node)) {
      const auto text = node->value<std::string>().value_or("");
      take(name, text, parse_day(text, false), out);
    }
  }
  void operator()(std::string_view name, std::optional<Month>& out) {
    const toml::node* node = find(name);
    if (node == nullptr) return;
    if (node->is_date()) return fault(name, "", {"this is a day, a month belongs here", "write it in double quotes as \"YYYY-MM\""});
    if (!is_text(name, *node)) return;
    const auto text = node->value<std::string>().value_or("");
    take(name, text, parse_plan_month(text, false), out);
  }
  void operator()(std::string_view name, MonthDay& out) {
    const toml::node* node = find(name);
    if (node == nullptr || !is_text(name, *node)) return;
    const auto text = node->value<std::string>().value_or("");
    take(name, text, Parsed<MonthDay>{parse_month_day(text), {"this is not a day of the year", "write it as MM-DD, for instance 09-01"}},
         out);
  }
  template <class Enum>
  requires std::is_enum_v<Enum>
  void operator()(std::string_view name, Enum& out) {
    const toml::node* node = find(name);
    if (node == nullptr || !is_text(name, *node)) return;
    const auto text = node->value<std::string>().value_or("");
    take(name, text, parse_word<Enum>(text), out);
  }
  void operator()(std::string_view name, std::vector<std::string>& out) {
    for_each_element(name, [&](const toml::node& element) {
      if (is_text(name, element)) out.push_back(element.value<std::string>().value_or(""));
    });
  }
  void operator()(std::string_view name, std::vector<int>& out) {
    for_each_element(name, [&](const toml::node& element) {
      if (const auto year = whole(name, element, 0, 9999)) out.push_back(static_cast<int>(*year));
    });
  }
  void operator()(std::string_view name, std::array<double, 12>& out) {
    const toml::node* node = find(name);
    if (node == nullptr) return;
    if (const toml::array* list = node->as_array(); list != nullptr && list->size() == 12) {
      for (std::size_t m = 0; m < 12; ++m) out[m] = number(name, (*list)[m]).value_or(1);
    } else if (const toml::table* months = node->as_table()) {
      twelve_by_name(name, *months, out);
    } else {
      fault(name, "", {"this is not a list of twelve numbers", "write twelve numbers, January first, or { jun = 0.5, jul = 0.5 }"});
    }
  }

  const toml::node* find(std::string_view name) const {
    const auto node = root_.at_path(name);
    return node.node();
  }
  void fault(std::string_view name, std::string_view value, const Fault& fault) {
    problems_.error(place_of(keys_, prefix_ + std::string(name)), value, fault.message, fault.remedy);
  }
  std::optional<double> number(std::string_view name, const toml::node& node) {
    if (node.is_string()) {
      fault(name, node.value<std::string>().value_or(""),
            {"this is text where a number belongs", "write the number without quotes, with a decimal point and no unit"});
      return std::nullopt;
    }
    const auto value = node.is_number() ? node.value<double>() : std::nullopt;
    if (!value || !std::isfinite(*value)) {
      fault(name, "", {"this is not a finite number", "write a number"});
      return std::nullopt;
    }
    return value;
  }

 private:
  std::optional<double> whole(std::string_view name, const toml::node& node, double min, double max) {
    const auto value = number(name, node);
    if (!value) return std::nullopt;
    if (*value == std::floor(*value) && *value >= min && *value <= max) return value;
    fault(name, fmt::format("{}", *value),
          {"this is not a whole number in range", fmt::format("write a whole number from {:.0f} to {:.0f}", min, max)});
    return std::nullopt;
  }
  bool is_text(std::string_view name, const toml::node& node) {
    if (node.is_string()) return true;
    fault(name, "", {"text belongs here", "write it in double quotes"});
    return false;
  }
  template <class T, class Out>
  void take(std::string_view name, std::string_view text, const Parsed<T>& parsed, Out& out) {
    if (parsed.value)
      out = *parsed.value;
    else
      fault(name, text, parsed.fault);
  }
  template <class Each>
  void for_each_element(std::string_view name, Each each) {
    const toml::node* node = find(name);
    if (node == nullptr) return;
    const toml::array* list = node->as_array();
    if (list == nullptr) return fault(name, "", {"a list belongs here", "write it as [a, b]"});
    for (const toml::node& element : *list) each(element);
  }
  void twelve_by_name(std::string_view name, const toml::table& months, std::array<double, 12>& out) {
    for (const auto& [key, value] : months) {
      const auto found = std::find(kMonthWords.begin(), kMonthWords.end(), key.str());
      if (found == kMonthWords.end())
        fault(name, key.str(), {"this is not a month", "use jan, feb, mar, apr, may, jun, jul, aug, sep, oct, nov, dec"});
      else
        out[static_cast<std::size_t>(found - kMonthWords.begin())] = number(name, value).value_or(1);
    }
  }

  const toml::table& root_;
  std::string prefix_;
  SeasonKeys& keys_;
  Season& season_;
  ProblemList& problems_;
};

Place at(const SeasonKeys& keys, const toml::source_region& source, std::string name) {
  return {keys.file, static_cast<int>(source.begin.line), static_cast<int>(source.begin.column), std::move(name)};
}

bool is_section(const std::string& dotted) {
  const std::string listed = listed_name(dotted) + ".";
  const auto names = fields_of(kTable);
  return std::any_of(names.begin(), names.end(), [&](const FieldSpec& f) { return f.name.starts_with(listed); }) ||
         (dotted.starts_with("rasters.") && dotted.find('.', 8) == std::string::npos);
}

std::vector<std::string_view> names_beside(const std::string& prefix) {
  std::vector<std::string_view> names;
  if (prefix == "rasters.") return {raster_names().begin(), raster_names().end()};
  std::string listed = listed_name(prefix);
  if (prefix.starts_with("rasters.")) listed = "rasters.*.";
  for (const FieldSpec& field : fields_of(kTable)) {
    if (!field.name.starts_with(listed)) continue;
    std::string_view rest = field.name.substr(listed.size());
    rest = rest.substr(0, rest.find('.'));
    if (rest != "*" && std::find(names.begin(), names.end(), rest) == names.end()) names.push_back(rest);
  }
  return names;
}

// Notes where every key stands and names the unknown ones.
class KeyWalk {
 public:
  KeyWalk(SeasonKeys& keys, const Season& season, ProblemList& problems) : keys_(keys), season_(season), problems_(problems) {}

  void table(const toml::table& table, const std::string& prefix) {
    for (const auto& [key, node] : table) {
      const std::string dotted = prefix + std::string(key.str());
      const Place place = at(keys_, key.source(), listed_name(dotted));
      keys_.places.emplace(dotted, place);
      if (!known(prefix, dotted)) {
        unknown(prefix, std::string(key.str()), place);
      } else if (find_field(kTable, listed_name(dotted)) == nullptr) {
        section(node, dotted, place);
      }
    }
  }

 private:
  bool known(const std::string& prefix, const std::string& dotted) const {
    if (prefix == "rasters.") {
      const auto names = raster_names();
      return std::find(names.begin(), names.end(), std::string_view(dotted).substr(prefix.size())) != names.end();
    }
    if (prefix == "parameters.") return season_.parameters.known(std::string_view(dotted).substr(prefix.size()));
    return find_field(kTable, listed_name(dotted)) != nullptr || is_section(dotted);
  }
  void section(const toml::node& node, const std::string& dotted, const Place& place) {
    const bool many = dotted == "case" || dotted == "share_limit";
    if (const toml::table* inner = node.as_table(); inner != nullptr && !many) return table(*inner, dotted + ".");
    const toml::array* list = node.as_array();
    if (!many || list == nullptr || !list->is_homogeneous(toml::node_type::table)) {
      const std::string shown = many ? "[[" + dotted + "]]" : "[" + dotted + "]";
      return problems_.error(place, "", "this is a table, not a value", "write " + shown + " on a line of its own and its keys below");
    }
    for (std::size_t i = 0; i < list->size(); ++i) {
      const std::string item = fmt::format("{}[{}]", dotted, i);
      keys_.places.emplace(item, at(keys_, (*list)[i].source(), dotted));
      table(*(*list)[i].as_table(), item + ".");
    }
  }
  void unknown(const std::string& prefix, const std::string& key, const Place& place) {
    std::vector<std::string_view> names = names_beside(prefix);
    std::string what = prefix == "parameters." ? "the parameter is not known"
                       : prefix == "rasters."  ? "the raster is not known"
                                               : "the key is not known";
    std::string other = prefix == "parameters." ? "METHODS.md lists the parameters" : "use one of: " + listed(names);
    if (prefix == "parameters.") names = {season_.parameters.names().begin(), season_.parameters.names().end()};
    const std::string near = did_you_mean(key, names);
    problems_.error(place, "", what, near.empty() ? other : near);
  }

  SeasonKeys& keys_;
  const Season& season_;
  ProblemList& problems_;
};

void read_table_files(const toml::table& root, SeasonKeys& keys, ProblemList& problems) {
  for (const std::string_view name : table_names()) {
    const std::string dotted = "tables." + std::string(name);
    const auto node = root.at_path(dotted);
    if (!node) continue;
    const Place place = place_of(keys, dotted);
    TableFile file{std::string(name), "", "", place};
    if (const toml::table* book = node.as_table()) {
      for (const auto& [key, value] : *book)
        if (key != "file" && key != "sheet")
          problems.error(at(keys, key.source(), dotted), key.str(), "the key is not known",
                         "write { file = \"book.xlsx\", sheet = \"" + std::string(name) + "\" }");
      file.path = (*book)["file"].value<std::string>().value_or("");
      file.sheet = (*book)["sheet"].value<std::string>().value_or(std::string(name));
    } else if (node.is_string()) {
      file.path = node.value<std::string>().value_or("");
      if (file.path.ends_with(".xlsx") || file.path.ends_with(".ods")) file.sheet = name;
    }
    if (file.path.empty() || file.path.find('\0') != std::string::npos)
      problems.error(place, "", "this names no file",
                     "write \"" + std::string(name) + ".csv\", or { file = \"book.xlsx\", sheet = \"" + std::string(name) + "\" }");
    else
      keys.tables.push_back(std::move(file));
  }
}

// [rasters.NAME]: crs, unit, calendar and fill are statements of the user and listed as such.
void read_rasters(const toml::table& root, SeasonKeys& keys, Season& season, ProblemList& problems) {
  for (const std::string_view name : raster_names()) {
    const toml::table* table = root.at_path("rasters." + std::string(name)).as_table();
    if (table == nullptr) continue;
    const std::string prefix = fmt::format("rasters.{}.", name);
    RasterSource raster;
    visit_fields(raster, KeyReader(*table, prefix, keys, season, problems));
    if (!raster.step.empty() && raster.step != "day" && raster.step != "month")
      problems.error(place_of(keys, prefix + "step"), raster.step, "the word is not known here", "write day or month");
    if (raster.path.empty())
      problems.error(place_of(keys, prefix + "path"), "", "the raster has no path", "name its file: path = \"rain.nc\"");
    const auto declare = [&](std::string_view what, const std::string& value) {
      if (!value.empty()) season.declared.push_back({prefix + std::string(what), value});
    };
    declare("crs", raster.crs);
    declare("unit", raster.unit);
    declare("calendar", raster.calendar);
    for (const auto& [what, value] : {std::pair{"fill", raster.fill}, {"scale", raster.scale}, {"offset", raster.offset}})
      if (value) declare(what, fmt::format("{}", *value));
    season.rasters.emplace(name, std::move(raster));
  }
  if (!season.regions.crs.empty()) season.declared.push_back({"regions.crs", season.regions.crs});
}

void read_soil(const toml::table& root, SeasonKeys& keys, Season& season, ProblemList& problems) {
  const toml::table* table = root.at_path("soil").as_table();
  if (table == nullptr) return;
  UniformSoil soil;
  visit_fields(soil, KeyReader(*table, "soil.", keys, season, problems));
  for (const FieldSpec& field : fields_of(kTable))
    if (field.name.starts_with("soil.") && field.required() && !table->contains(field.name.substr(5)))
      problems.error(place_of(keys, std::string(field.name)), "", "the key is missing",
                     fmt::format("state it; [soil] needs sand_pct, clay_pct and organic_matter_pct"));
  season.soil = soil;
}

void read_named_numbers(const toml::table& root, SeasonKeys& keys, Season& season, ProblemList& problems) {
  if (const toml::table* table = root.at_path("parameters").as_table()) {
    KeyReader read(*table, "parameters.", keys, season, problems);
    for (const auto& [key, node] : *table)
      if (season.parameters.known(key.str()))
        if (const auto value = read.number(key.str(), node)) season.parameters.set(key.str(), *value);
  }
  if (const toml::table* table = root.at_path("closing").as_table()) {
    KeyReader read(*table, "closing.", keys, season, problems);
    for (const auto& [key, node] : *table)
      if (const auto value = read.number(key.str(), node)) season.closing_t[key == "any" ? std::string() : std::string(key.str())] = *value;
  }
}

template <class Row>
void read_repeated(const toml::table& root, std::string_view name, std::vector<Row>& rows, SeasonKeys& keys, Season& season,
                   ProblemList& problems) {
  const toml::array* list = root.at_path(name).as_array();
  if (list == nullptr) return;
  for (std::size_t i = 0; i < list->size(); ++i) {
    const toml::table* table = (*list)[i].as_table();
    if (table == nullptr) continue;
    const std::string prefix = fmt::format("{}[{}].", name, i);
    Row row;
    visit_fields(row, KeyReader(*table, prefix, keys, season, problems));
    for (const FieldSpec& field : fields_of(kTable)) {
      if (!field.name.starts_with(std::string(name) + ".") || !field.required()) continue;
      const auto key = std::string(field.name.substr(name.size() + 1));
      if (!table->contains(key))
        problems.error(place_of(keys, prefix + key), "", "the key is missing", fmt::format("state it ({})", field.meaning));
    }
    rows.push_back(std::move(row));
  }
}

// Keys that are never empty in Season: whether the user gave them is known only here.
void record_plain_keys(const SeasonKeys& keys, Season& season) {
  for (const std::string_view name : {"currency", "seed", "model", "season_start", "season_end", "start", "spec.limit_policy",
                                      "outlook.dry", "outlook.normal", "outlook.wet"})
    if (!keys.places.contains(std::string(name))) record_default(season, kTable, name, find_field(kTable, name)->fallback);
}

void need_keys(const SeasonKeys& keys, ProblemList& problems) {
  for (const FieldSpec& field : fields_of(kTable)) {
    const bool own = !field.name.starts_with("case.") && !field.name.starts_with("share_limit.") && !field.name.starts_with("soil.");
    if (!field.required() || !own || keys.places.contains(std::string(field.name))) continue;
    problems.error(place_of(keys, std::string(field.name)), "", "the key is missing",
                   fmt::format("state {} ({})", field.name, field.meaning));
  }
}

}  // namespace

Place place_of(const SeasonKeys& keys, const std::string& dotted) {
  std::string name = dotted;
  while (true) {
    if (const auto found = keys.places.find(name); found != keys.places.end()) {
      Place place = found->second;
      place.name = listed_name(dotted);
      return place;
    }
    const auto dot = name.rfind('.');
    if (dot == std::string::npos) return {keys.file, 0, 0, listed_name(dotted)};
    name.resize(dot);
  }
}

SeasonKeys read_keys(const std::string& text, const std::string& file, Season& season, ProblemList& problems) {
  SeasonKeys keys;
  keys.file = file;
  toml::table root;
  try {
    root = toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    problems.error(at(keys, error.source(), ""), "", printable(error.description(), 200), "correct the line; later keys were not read");
    return keys;
  }
  KeyWalk(keys, season, problems).table(root, "");
  visit_keys(season, KeyReader(root, "", keys, season, problems));
  read_table_files(root, keys, problems);
  read_rasters(root, keys, season, problems);
  read_soil(root, keys, season, problems);
  read_named_numbers(root, keys, season, problems);
  read_repeated(root, "share_limit", season.share_limits, keys, season, problems);
  read_repeated(root, "case", season.cases, keys, season, problems);
  record_plain_keys(keys, season);
  need_keys(keys, problems);
  return keys;
}

}  // namespace rickyard
