#include <doctest/doctest.h>

#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <thread>

#include "io/run_folder_files.h"
#include "io/table_writer.h"
#include "planner/base/problem.h"

using namespace rickyard;
namespace fs = std::filesystem;

namespace {

fs::path fresh_folder(const char* name) {
  const fs::path folder = fs::path(RICKYARD_BINARY_DIR) / "output-tests" / name;
  fs::remove_all(folder);
  fs::create_directories(folder);
  return folder;
}

std::string bytes_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<Table> sample_tables() {
  Table mixed{"blend_by_month", {"month", "origin", "t", "note"}, {}, {}};
  mixed.rows = {{Month{2027, 8}, std::string("Home, \"north\""), 12.3456789, Cell{}},
                {Month{2027, 9}, std::string("=1+1"), 1e-9, std::string("line\nbreak")},
                {Month{2027, 10}, std::string("\xC3\x85land <&>"), -7.0, Date(2027, 3, 1)}};
  Table whole{"years", {"year", "weight"}, {{2001LL, 1.0 / 3}, {2002LL, 2.0 / 3}}, {6, 9}};
  Table none{"orders", {"by", "source"}, {}, {}};
  return {mixed, whole, none};
}

}  // namespace

TEST_CASE("CSV follows RFC 4180 and always has a header") {
  const auto tables = sample_tables();
  CHECK(to_csv(tables[0]) ==
        "month,origin,t,note\r\n"
        "2027-08,\"Home, \"\"north\"\"\",12.345679,\r\n"
        "2027-09,'=1+1,0,\"line\nbreak\"\r\n"
        "2027-10,\xC3\x85land <&>,-7,2027-03-01\r\n");
  CHECK(to_csv(tables[1]) == "year,weight\r\n2001,0.333333333\r\n2002,0.666666667\r\n");
  CHECK(to_csv(tables[2]) == "by,source\r\n");
}

TEST_CASE("text that a spreadsheet would run is neutralised, everything else is untouched") {
  for (const char* risky : {"=HYPERLINK(\"x\")", "+1", "-1", "@sum", "\tx", "\rx", "\nx"})
    CHECK(without_formula(risky) == std::string("'") + risky);
  for (const char* plain : {"", "a=b", "1-2", "'quoted", " =1", "Home"}) CHECK(without_formula(plain) == plain);
}

TEST_CASE("figures: rounded, shortest, never an exponent below 1e15, never minus zero") {
  CHECK(figure_text(0.1 + 0.2, 6) == "0.3");
  CHECK(figure_text(1e-6, 6) == "0.000001");
  CHECK(figure_text(-4e-7, 6) == "0");
  CHECK(figure_text(-0.0, 6) == "0");
  CHECK(figure_text(2.5e-7, 9) == "0.00000025");
  CHECK(figure_text(1234567.0, 6) == "1234567");
  CHECK(figure_text(123456789012.5, 6) == "123456789012.5");
  CHECK(figure_text(1.0 / 6000, 15) == "0.000166666666667");
  CHECK(figure_text(1e300, 6) == "1e+300");
}

TEST_CASE("a table that is not in shape is our mistake") {
  Table table{"t", {"a", "b"}, {{1.0}}, {}};
  CHECK_THROWS_WITH(to_csv(table), "table t: row 0 has 1 cells for 2 columns");
  table.rows = {{1.0, std::nan("")}};
  CHECK_THROWS_WITH(to_csv(table), "table t: row 0, column b: not a finite number");
}

TEST_CASE("a workbook read back by another reader: sheets, headers, types, formulas neutralised") {
  const auto folder = fresh_folder("xlsx");
  write_xlsx(folder / "plan.xlsx", sample_tables());
  std::ofstream(folder / "read.py") << R"PY(
import sys, openpyxl
book = openpyxl.load_workbook(sys.argv[1])
rows = {s.title: [[c.value for c in r] for r in s.iter_rows()] for s in book.worksheets}
assert [s.title for s in book.worksheets] == ["blend_by_month", "years", "orders"], rows.keys()
b = rows["blend_by_month"]
assert b[0] == ["month", "origin", "t", "note"], b[0]
assert b[1] == ["2027-08", 'Home, "north"', 12.345679, None], b[1]
assert b[2] == ["2027-09", "'=1+1", 0, "line\nbreak"], b[2]
assert b[3] == ["2027-10", "\u00c5land <&>", -7, "2027-03-01"], b[3]
assert rows["years"] == [["year", "weight"], [2001, 0.333333333], [2002, 0.666666667]], rows["years"]
assert rows["orders"][0] == ["by", "source"], rows["orders"]
assert all(v is None for r in rows["orders"][1:] for v in r), rows["orders"]
types = {s.title + str(c.coordinate): c.data_type for s in book.worksheets for r in s.iter_rows() for c in r}
assert "f" not in types.values(), types
assert types["blend_by_monthC2"] == "n" and types["yearsA2"] == "n", types
)PY";
  const std::string command = "/usr/bin/python3 -W ignore " + (folder / "read.py").string() + " " + (folder / "plan.xlsx").string();
  CHECK(std::system(command.c_str()) == 0);
}

TEST_CASE("a workbook written again, seconds later and elsewhere, has the same bytes") {
  const auto folder = fresh_folder("xlsx-again");
  write_xlsx(folder / "one.xlsx", sample_tables());
  std::this_thread::sleep_for(std::chrono::milliseconds(3100));  // ZIP times have steps of two seconds
  write_xlsx(folder / "two.xlsx", sample_tables());
  const std::string one = bytes_of(folder / "one.xlsx");
  CHECK(one.size() > 1000);
  CHECK(one == bytes_of(folder / "two.xlsx"));
}

TEST_CASE("a workbook that cannot be written says so") {
  CHECK_THROWS_AS(write_xlsx("/nowhere/at/all/plan.xlsx", sample_tables()), OutputError);
  const std::vector<Table> twice = {{"a", {"x"}, {}, {}}, {"a", {"x"}, {}, {}}};
  CHECK_THROWS_WITH(write_xlsx(fresh_folder("xlsx-bad") / "a.xlsx", twice), "two tables are named \"a\"");
  const std::vector<Table> slash = {{"a/b", {"x"}, {}, {}}};
  CHECK_THROWS_AS(write_xlsx(fresh_folder("xlsx-bad") / "a.xlsx", slash), std::logic_error);
}
