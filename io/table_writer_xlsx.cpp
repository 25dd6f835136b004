// Workbooks through OGR: the only file of this room's output side that knows GDAL.
#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_vsi.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <atomic>
#include <cstring>
#include <memory>
#include <set>
#include <stdexcept>

#include "io/rounding.h"
#include "io/run_folder_files.h"
#include "io/table_writer.h"
#include "io/table_writer_cells.h"
#include "planner/base/problem.h"

namespace rickyard {
namespace {

[[noreturn]] void failed(const std::filesystem::path& path, const std::string& what) {
  const std::string words = CPLGetLastErrorMsg();
  throw OutputError(path.generic_string() + ": " + what + (words.empty() ? "" : ": " + words));
}

// GDAL's messages go to our exceptions, not to standard error, while one of these lives.
class QuietErrors {
 public:
  QuietErrors() {
    CPLPushErrorHandler(CPLQuietErrorHandler);
    CPLErrorReset();
  }
  ~QuietErrors() { CPLPopErrorHandler(); }
  QuietErrors(const QuietErrors&) = delete;
  QuietErrors& operator=(const QuietErrors&) = delete;
};

OGRFieldType field_type(const Table& table, std::size_t column) {
  bool any = false, whole = true;
  for (const auto& row : table.rows) {
    const auto& cell = row[column];
    if (std::holds_alternative<std::monostate>(cell)) continue;
    const bool number = std::holds_alternative<double>(cell);
    if (!number && !std::holds_alternative<long long>(cell)) return OFTString;
    any = true;
    whole = whole && !number;
  }
  return !any ? OFTString : whole ? OFTInteger64 : OFTReal;
}

void set_cell(OGRFeature& feature, int field, OGRFieldType type, const Cell& cell, int decimals) {
  if (std::holds_alternative<std::monostate>(cell)) return;
  if (type == OFTString) {
    feature.SetField(field, cell_text(cell, decimals).c_str());
  } else if (const auto* whole = std::get_if<long long>(&cell)) {
    if (type == OFTInteger64)
      feature.SetField(field, static_cast<GIntBig>(*whole));
    else
      feature.SetField(field, static_cast<double>(*whole));
  } else {
    feature.SetField(field, rounded(std::get<double>(cell), decimals));
  }
}

void check_sheet_name(const std::string& name, std::set<std::string>& taken) {
  if (name.empty() || name.size() > 31 || name.find_first_of("[]:*?/\\'") != std::string::npos)
    throw std::logic_error("no sheet can be named \"" + name + "\"");
  if (!taken.insert(name).second) throw std::logic_error("two tables are named \"" + name + "\"");
}

void write_sheet(GDALDataset& book, const Table& table, const std::filesystem::path& path) {
  OGRLayer* layer = book.CreateLayer(table.name.c_str(), nullptr, wkbNone, nullptr);
  if (!layer) failed(path, "cannot add the sheet " + table.name);
  std::vector<OGRFieldType> types;
  for (std::size_t c = 0; c < table.columns.size(); ++c) {
    types.push_back(field_type(table, c));
    OGRFieldDefn field(without_formula(table.columns[c]).c_str(), types.back());
    if (layer->CreateField(&field) != OGRERR_NONE) failed(path, "cannot add the column " + table.columns[c]);
  }
  // OGR writes the header with the first row; a table without rows gets a blank one, so that its header is there too.
  const std::size_t rows = std::max<std::size_t>(table.rows.size(), 1);
  for (std::size_t r = 0; r < rows; ++r) {
    const std::unique_ptr<OGRFeature, decltype(&OGRFeature::DestroyFeature)> feature(OGRFeature::CreateFeature(layer->GetLayerDefn()),
                                                                                     OGRFeature::DestroyFeature);
    if (r < table.rows.size())
      for (std::size_t c = 0; c < table.columns.size(); ++c)
        set_cell(*feature, static_cast<int>(c), types[c], table.rows[r][c], column_decimals(table, c));
    if (layer->CreateFeature(feature.get()) != OGRERR_NONE) failed(path, "cannot add a row to the sheet " + table.name);
  }
}

// The workbook is made in memory, so that a full disk is met by our own writer, which reports it.
std::string workbook_bytes(const std::string& memory_path, std::span<const Table> tables, const std::filesystem::path& path) {
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("XLSX");
  if (!driver) throw OutputError(path.generic_string() + ": this GDAL cannot write XLSX");
  GDALDataset* book = driver->Create(memory_path.c_str(), 0, 0, 0, GDT_Unknown, nullptr);
  if (!book) failed(path, "cannot make a workbook");
  try {
    for (const auto& table : tables) write_sheet(*book, table, path);
  } catch (...) {
    GDALClose(book);
    VSIUnlink(memory_path.c_str());
    throw;
  }
  GDALClose(book);  // the sheets are written here; errors have no other way out than the last message
  vsi_l_offset size = 0;
  const std::unique_ptr<GByte, decltype(&VSIFree)> buffer(VSIGetMemFileBuffer(memory_path.c_str(), &size, TRUE), VSIFree);
  if (!buffer || size == 0 || CPLGetLastErrorType() >= CE_Failure) failed(path, "cannot make a workbook");
  std::string bytes(size, '\0');
  std::memcpy(bytes.data(), buffer.get(), size);
  return bytes;
}

}  // namespace

void write_xlsx(const std::filesystem::path& path, std::span<const Table> tables) {
  std::set<std::string> names;
  for (const auto& table : tables) {
    check_shape(table);
    check_sheet_name(table.name, names);
  }
  GDALAllRegister();
  const QuietErrors quiet;
  static std::atomic<unsigned> counter{0};
  write_file(path, workbook_bytes("/vsimem/rickyard-" + std::to_string(counter++) + ".xlsx", tables, path));
}

}  // namespace rickyard
