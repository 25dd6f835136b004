#include "io/season_reader.h"

#include <fmt/format.h>

#include <algorithm>

#include "io/season_keys.h"
#include "io/season_tables.h"
#include "planner/rules/all_parameters.h"
#include "planner/rules/season_defaults.h"
#include "planner/rules/season_fields.h"
#include "planner/rules/season_rules.h"
#include "planner/rules/season_visit.h"

namespace rickyard {
namespace {

namespace fs = std::filesystem;

// Names that GDAL opens by itself: subdatasets ("NETCDF:..."), /vsi paths, addresses.
bool is_plain_path(const std::string& path) { return !path.starts_with("/vsi") && path.find(':') == std::string::npos; }

class SeasonFolder {
 public:
  explicit SeasonFolder(const fs::path& season_toml)
      : path_(season_toml), folder_(season_toml.parent_path()), season_(ParameterSet(all_parameters())) {}

  SeasonReading read() {
    const std::string name = path_.filename().string();
    season_.path = path_.string();
    const auto text = read_bytes(path_, {name, 0, 0, ""}, problems_);
    if (!text) return ended();
    inputs_.push_back({path_, name, "season"});
    keys_ = read_keys(*text, name, season_, problems_);
    if (!keys_.places.empty()) {
      read_tables();
      find_data_files();
      apply_defaults(season_);
      add_findings();
    }
    return ended();
  }

 private:
  SeasonReading ended() {
    SeasonReading reading{std::nullopt, problems_.sorted(), std::move(inputs_), std::move(contracts_)};
    if (!problems_.has_error()) reading.season = std::move(season_);
    return reading;
  }

  void read_tables() {
    for (const TableFile& file : keys_.tables) {
      const fs::path path = folder_ / file.path;
      const std::string place = file.sheet.empty() ? file.path : fmt::format("{}[{}]", file.path, file.sheet);
      const auto raw = file.sheet.empty() ? read_csv(path, printable(place, 200), file.named_at, problems_)
                                          : read_sheet(path, file.sheet, printable(place, 200), file.named_at, problems_);
      TableMap& map = maps_[file.table];
      map.unread = true;
      if (raw) map = read_rows(*raw, file.table, season_, problems_);
      if (raw && file.table == "contracts") contracts_ = *raw;
      note_input(path, file.path, file.table);
    }
  }

  void note_input(const fs::path& path, const std::string& relative, const std::string& role) {
    std::error_code failed;
    if (fs::is_regular_file(path, failed)) inputs_.push_back({path, relative, role});
  }

  // Files of rasters and regions are opened by geo; here a missing one is named before anything runs.
  void find_data_files() {
    if (!season_.regions.path.empty()) find_file(season_.regions.path, "regions", "regions.path");
    for (const auto& [name, raster] : season_.rasters) {
      if (!raster.path.empty()) find_file(raster.path, "rasters." + name, "rasters." + name + ".path");
      if (!raster.dates.empty()) find_file(raster.dates, "rasters." + name + ".dates", "rasters." + name + ".dates");
    }
  }

  void find_file(const std::string& written, const std::string& role, const std::string& key) {
    if (!is_plain_path(written)) return;
    std::error_code failed;
    if (written.find("{year}") != std::string::npos) return find_by_pattern(written, role, key);
    const fs::path path = folder_ / written;
    if (!fs::exists(path, failed))
      return problems_.error(place_of(keys_, key), written, "the file does not exist", "check the name; paths are relative to season.toml");
    note_input(path, written, role);
  }

  void find_by_pattern(const std::string& written, const std::string& role, const std::string& key) {
    const fs::path pattern = folder_ / written;
    const std::string name = pattern.filename().string();
    const auto at = name.find("{year}");
    std::vector<std::string> found;
    std::error_code failed;
    for (fs::directory_iterator it(pattern.parent_path(), failed), end; !failed && it != end; it.increment(failed)) {
      const std::string file = it->path().filename().string();
      const bool fits = at != std::string::npos && file.size() == name.size() - 2 && file.starts_with(name.substr(0, at)) &&
                        file.ends_with(name.substr(at + 6)) && file.find_first_not_of("0123456789", at) >= at + 4;
      if (fits) found.push_back(file);
    }
    std::sort(found.begin(), found.end());
    for (const auto& file : found) note_input(pattern.parent_path() / file, (fs::path(written).parent_path() / file).string(), role);
    if (found.empty())
      problems_.error(place_of(keys_, key), written, "no file fits the pattern", "{year} stands for four digits in the file's name");
  }

  void add_findings() {
    std::set<std::string> unread;
    for (const auto& [table, map] : maps_)
      if (map.unread) unread.insert(table);
    const Findings findings = check_season(season_, unread);
    for (const bool about_defaults : {false, true}) {
      if (about_defaults && problems_.has_error()) break;
      for (const Finding& finding : findings) {
        const Place place = place_of_path(finding.where);
        if (is_about_default(finding, place) == about_defaults && !already_said(place))
          problems_.add(finding.severity, place, finding.value, finding.message, finding.remedy);
      }
    }
  }

  // A value that is wrong and that the user did not write was made from something else that is wrong, which is what to report.
  bool is_about_default(const Finding& finding, const Place& place) const {
    const auto found = maps_.find(finding.where.table);
    return found != maps_.end() && finding.where.row >= 0 && !finding.value.empty() &&
           !found->second.filled.contains({place.row, place.name});
  }

  bool model_is_wrong() const {
    const Place model = place_of(keys_, "model");
    return problems_.has_error_at(model.file, model.row, model.name);
  }

  // A rule has nothing to add where the reader could not take the value, or the column is missing,
  // or the word on which a whole group depends (form, model) is not known.
  bool already_said(const Place& place) const {
    const bool amount = place.name == "planted_ha" || place.name == "contracted_t" || place.name == "cap_t_ha";
    const bool data_source =
        place.file == keys_.file && (place.name.starts_with("rasters") || place.name == "regions.path" || place.name == "diurnal_range_c");
    return problems_.has_error_at(place.file, place.row, place.name) ||
           (place.file != keys_.file && problems_.has_error_at(place.file, 1, place.name)) ||
           (amount && problems_.has_error_at(place.file, place.row, "form")) || (data_source && model_is_wrong());
  }

  Place place_of_path(const FieldPath& where) const {
    if (where.table == "season") return place_of(keys_, where.field);
    if (where.table == "case" || where.table == "share_limit")
      return place_of(keys_, fmt::format("{}[{}].{}", where.table, where.row, where.field));
    const auto found = maps_.find(where.table);
    if (found == maps_.end()) return place_of(keys_, "tables." + where.table);
    Place place{found->second.file.empty() ? keys_.file : found->second.file, 1, 0, where.field};
    if (const SourceRow* row = row_of(where); row != nullptr) place.row = row->row;
    if (const auto column = found->second.column.find(where.field); column != found->second.column.end()) place.column = column->second;
    return place;
  }

  const SourceRow* row_of(const FieldPath& where) const {
    const SourceRow* at = nullptr;
    visit_tables(season_, [&](std::string_view table, const auto& rows) {
      if (table == where.table && where.row >= 0 && static_cast<std::size_t>(where.row) < rows.size())
        at = &rows[static_cast<std::size_t>(where.row)].at;
    });
    return at;
  }

  fs::path path_, folder_;
  Season season_;
  SeasonKeys keys_;
  std::map<std::string, TableMap> maps_;
  ProblemList problems_;
  std::vector<InputFile> inputs_;
  RawTable contracts_;
};

}  // namespace

SeasonReading read_season(const std::filesystem::path& season_toml) { return SeasonFolder(season_toml).read(); }

}  // namespace rickyard
