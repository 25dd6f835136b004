#include "tests/io/season_books.h"

#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>
#include <unistd.h>

#include <charconv>
#include <fstream>
#include <iterator>
#include <memory>
#include <stdexcept>

#include "io/raw_table.h"
#include "planner/rules/season_visit.h"

namespace rickyard::season_tests {
namespace fs = std::filesystem;

TemporaryFolder::TemporaryFolder(const std::string& name)
    : path_(fs::path(RICKYARD_BINARY_DIR) / "test-folders" / fmt::format("{}-{}", name, getpid())) {
  fs::remove_all(path_);
  fs::create_directories(path_);
}
TemporaryFolder::~TemporaryFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

std::string text_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in) throw std::runtime_error("cannot open " + file.string());
  return {std::istreambuf_iterator<char>(in), {}};
}

void write_text(const fs::path& file, const std::string& text) {
  fs::create_directories(file.parent_path());
  std::ofstream out(file, std::ios::binary);
  out << text;
  out.close();
  if (!out) throw std::runtime_error("cannot write " + file.string());
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  auto at = text.find(from);
  if (at == std::string::npos) throw std::runtime_error("not found: " + from);
  for (; at != std::string::npos; at = text.find(from, at + to.size())) text.replace(at, from.size(), to);
  return text;
}

namespace {

struct CloseDataset {
  void operator()(GDALDataset* dataset) const { GDALClose(GDALDataset::ToHandle(dataset)); }
};

bool is_number(const std::string& text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc() && end == text.data() + text.size();
}

OGRFieldType column_type(const RawTable& table, std::size_t column, BookCells cells) {
  bool numbers = cells == BookCells::typed, dates = numbers, any = false;
  for (const RawRow& row : table.rows) {
    if (row.cells[column].empty()) continue;
    any = true;
    numbers = numbers && is_number(row.cells[column]);
    dates = dates && parse_date(row.cells[column]).has_value();
  }
  return !any ? OFTString : numbers ? OFTReal : dates ? OFTDate : OFTString;
}

void write_sheet(GDALDataset& book, const std::string& sheet, const RawTable& table, BookCells cells) {
  OGRLayer* layer = book.CreateLayer(sheet.c_str(), nullptr, wkbNone, nullptr);
  if (layer == nullptr) throw std::runtime_error("no sheet");
  for (std::size_t c = 0; c < table.header.size(); ++c) {
    OGRFieldDefn field(table.header[c].c_str(), column_type(table, c, cells));
    if (layer->CreateField(&field, FALSE) != OGRERR_NONE) throw std::runtime_error("no column");
  }
  for (const RawRow& row : table.rows) {
    const OGRFeatureUniquePtr feature(OGRFeature::CreateFeature(layer->GetLayerDefn()));
    for (std::size_t c = 0; c < row.cells.size(); ++c) {
      if (row.cells[c].empty()) continue;
      const auto text =
          layer->GetLayerDefn()->GetFieldDefn(static_cast<int>(c))->GetType() == OFTDate ? replaced(row.cells[c], "-", "/") : row.cells[c];
      feature->SetField(static_cast<int>(c), text.c_str());
    }
    if (layer->CreateFeature(feature.get()) != OGRERR_NONE) throw std::runtime_error("no row");
  }
}

bool same(const std::string& a, const std::string& b) { return a == b; }
template <class T>
bool same(const T& a, const T& b) {
  return a == b;
}

template <class Row>
void compare_rows(const std::string& table, const std::vector<Row>& a, const std::vector<Row>& b, std::vector<std::string>& out) {
  if (a.size() != b.size()) out.push_back(fmt::format("{}: {} rows and {} rows", table, a.size(), b.size()));
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
    // Both rows are visited in step: the fields of b are kept as printed comparisons against pointers into it.
    std::vector<const void*> fields;
    visit_fields(b[i], [&](std::string_view, const auto& field) { fields.push_back(&field); });
    std::size_t next = 0;
    visit_fields(a[i], [&](std::string_view name, const auto& field) {
      if (!same(field, *static_cast<const std::remove_cvref_t<decltype(field)>*>(fields[next++])))
        out.push_back(fmt::format("{}[{}].{}", table, i, name));
    });
    if constexpr (requires { a[i].at; })
      if (a[i].at.row != b[i].at.row) out.push_back(fmt::format("{}[{}] row", table, i));
    if constexpr (std::is_same_v<Row, ContractRow>)
      if (a[i].delivery_share != b[i].delivery_share) out.push_back(fmt::format("{}[{}].delivery", table, i));
    if constexpr (std::is_same_v<Row, BackupRow>)
      if (a[i].months_available != b[i].months_available) out.push_back(fmt::format("{}[{}].months", table, i));
    if constexpr (std::is_same_v<Row, DemandRow>)
      if (a[i].unit != b[i].unit || a[i].amount != b[i].amount) out.push_back(fmt::format("{}[{}].amount", table, i));
  }
}

}  // namespace

void write_book(const fs::path& folder, const std::vector<std::string>& csv_files, const fs::path& book, const std::string& driver,
                BookCells cells) {
  GDALAllRegister();
  GDALDriver* writer = GetGDALDriverManager()->GetDriverByName(driver.c_str());
  if (writer == nullptr) throw std::runtime_error("GDAL has no " + driver + " driver");
  const std::unique_ptr<GDALDataset, CloseDataset> out(writer->Create(book.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  if (!out) throw std::runtime_error("cannot write " + book.string());
  for (const std::string& file : csv_files) {
    ProblemList problems;
    const auto table = read_csv(folder / file, file, {file, 0, 0, ""}, problems);
    if (!table) throw std::runtime_error("cannot read " + file);
    write_sheet(*out, fs::path(file).stem().string(), *table, cells);
  }
}

std::vector<std::string> differences(const Season& a, const Season& b) {
  std::vector<std::string> out;
  std::vector<const void*> keys;
  visit_keys(b, [&](std::string_view, const auto& field) { keys.push_back(&field); });
  std::size_t next = 0;
  visit_keys(a, [&](std::string_view name, const auto& field) {
    if (!same(field, *static_cast<const std::remove_cvref_t<decltype(field)>*>(keys[next++]))) out.emplace_back(name);
  });
  compare_rows("contracts", a.contracts, b.contracts, out);
  compare_rows("backups", a.backups, b.backups, out);
  compare_rows("demand", a.demand, b.demand, out);
  compare_rows("stock", a.stock, b.stock, out);
  compare_rows("stores", a.stores, b.stores, out);
  compare_rows("maltings", a.maltings, b.maltings, out);
  compare_rows("prices", a.prices, b.prices, out);
  compare_rows("outlets", a.outlets, b.outlets, out);
  compare_rows("varieties", a.varieties, b.varieties, out);
  compare_rows("history", a.history, b.history, out);
  compare_rows("share_limit", a.share_limits, b.share_limits, out);
  compare_rows("case", a.cases, b.cases, out);
  if (a.closing_t != b.closing_t) out.emplace_back("closing");
  if (a.defaults_used.size() != b.defaults_used.size()) out.emplace_back("defaults_used");
  return out;
}

}  // namespace rickyard::season_tests
