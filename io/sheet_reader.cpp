// Sheets of XLSX and ODS books, by OGR. The only file of this room that includes GDAL.
#include <cpl_conv.h>
#include <cpl_error.h>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <mutex>

#include "io/raw_table.h"
#include "io/utf8.h"

namespace rickyard {
namespace {

struct CloseDataset {
  void operator()(GDALDataset* dataset) const { GDALClose(GDALDataset::ToHandle(dataset)); }
};
using Dataset = std::unique_ptr<GDALDataset, CloseDataset>;

// Header in the first row, every cell as text, no message on standard error; for this thread, while it lives.
class SheetOptions {
 public:
  SheetOptions() {
    static std::once_flag once;
    std::call_once(once, [] { GDALAllRegister(); });
    for (const char* name : kHeaders) CPLSetThreadLocalConfigOption(name, "FORCE");
    for (const char* name : kTypes) CPLSetThreadLocalConfigOption(name, "STRING");
    CPLPushErrorHandler(CPLQuietErrorHandler);
    CPLErrorReset();
  }
  ~SheetOptions() {
    CPLPopErrorHandler();
    for (const char* name : kHeaders) CPLSetThreadLocalConfigOption(name, nullptr);
    for (const char* name : kTypes) CPLSetThreadLocalConfigOption(name, nullptr);
  }
  SheetOptions(const SheetOptions&) = delete;
  SheetOptions& operator=(const SheetOptions&) = delete;

 private:
  static constexpr const char* kHeaders[] = {"OGR_XLSX_HEADERS", "OGR_ODS_HEADERS"};
  static constexpr const char* kTypes[] = {"OGR_XLSX_FIELD_TYPES", "OGR_ODS_FIELD_TYPES"};
};

std::string trimmed(const char* text) {
  std::string_view view(text);
  const auto from = view.find_first_not_of(" \t\r\n");
  if (from == std::string_view::npos) return {};
  return std::string(view.substr(from, view.find_last_not_of(" \t\r\n") - from + 1));
}

std::string sheet_names(GDALDataset& book) {
  std::string names;
  for (int i = 0; i < book.GetLayerCount(); ++i) names += fmt::format("{}{}", i == 0 ? "" : ", ", printable(book.GetLayer(i)->GetName()));
  return names.empty() ? "none" : names;
}

// OGR names a column without a header "Field<n>".
bool has_no_name(const std::string& name, std::size_t column) { return name == fmt::format("Field{}", column + 1); }

void drop_unnamed_empty_columns(RawTable& table) {
  for (std::size_t c = table.header.size(); c-- > 0;) {
    if (!has_no_name(table.header[c], c)) continue;
    const bool empty = std::all_of(table.rows.begin(), table.rows.end(), [c](const RawRow& row) { return row.cells[c].empty(); });
    if (!empty || c + 1 != table.header.size()) continue;
    table.header.pop_back();
    for (auto& row : table.rows) row.cells.pop_back();
  }
}

RawTable rows_of(OGRLayer& layer, const std::string& place, ProblemList& problems) {
  RawTable table;
  table.place = place;
  table.sheet = true;
  const OGRFeatureDefn& columns = *layer.GetLayerDefn();
  for (int c = 0; c < columns.GetFieldCount(); ++c) table.header.push_back(trimmed(columns.GetFieldDefn(c)->GetNameRef()));
  layer.ResetReading();
  while (const OGRFeatureUniquePtr feature{layer.GetNextFeature()}) {
    RawRow row;
    row.number = static_cast<int>(feature->GetFID());
    bool any = false;
    for (int c = 0; c < columns.GetFieldCount(); ++c) {
      row.cells.push_back(feature->IsFieldSetAndNotNull(c) ? trimmed(feature->GetFieldAsString(c)) : std::string());
      any = any || !row.cells.back().empty();
      if (first_invalid_utf8(row.cells.back()) == std::string_view::npos) continue;
      problems.error({place, row.number, c + 1, table.header[static_cast<std::size_t>(c)]}, row.cells.back(), "the cell is not UTF-8",
                     "type it again");
      row.cells.back().clear();
    }
    if (any) table.rows.push_back(std::move(row));
  }
  drop_unnamed_empty_columns(table);
  return table;
}

}  // namespace

std::optional<RawTable> read_sheet(const std::filesystem::path& path, const std::string& sheet, const std::string& place,
                                   const Place& named_at, ProblemList& problems) {
  std::error_code failed;
  if (!std::filesystem::is_regular_file(path, failed)) {
    const bool there = std::filesystem::exists(path, failed);
    problems.error(named_at, "", there ? "this is not a file" : "the file does not exist",
                   there ? "name a file, not a folder or device" : "check the name; paths are relative to season.toml");
    return std::nullopt;
  }
  if (std::filesystem::file_size(path, failed) > kLargestInput) {
    problems.error(named_at, "", fmt::format("the book is larger than {} MB", kLargestInput >> 20),
                   "keep the tables of a season in a book of their own");
    return std::nullopt;
  }
  const SheetOptions options;
  constexpr const char* kDrivers[] = {"XLSX", "ODS", nullptr};
  const Dataset book(GDALDataset::Open(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, kDrivers));
  if (!book) {
    const std::string words = printable(CPLGetLastErrorMsg());
    problems.error({place, 0, 0, ""}, "", "the book cannot be opened as XLSX or ODS" + (words.empty() ? std::string() : " (" + words + ")"),
                   "save it again as .xlsx or .ods, or as CSV");
    return std::nullopt;
  }
  OGRLayer* layer = nullptr;
  for (int i = 0; i < book->GetLayerCount(); ++i)
    if (sheet == book->GetLayer(i)->GetName()) layer = book->GetLayer(i);
  if (layer == nullptr) {
    problems.error(named_at, sheet, "the book has no such sheet", "its sheets are: " + sheet_names(*book));
    return std::nullopt;
  }
  RawTable table = rows_of(*layer, place, problems);
  if (CPLGetLastErrorType() >= CE_Failure) {
    problems.error({place, 0, 0, ""}, "", "the sheet cannot be read (" + printable(CPLGetLastErrorMsg()) + ")", "save it again, or as CSV");
    return std::nullopt;
  }
  if (table.header.empty()) {
    problems.error({place, 1, 0, ""}, "", "the table is empty", "write the column names in row 1");
    return std::nullopt;
  }
  return table;
}

}  // namespace rickyard
