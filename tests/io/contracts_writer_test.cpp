// The contracts table with other amounts: everything else stays as it was written.
#include <doctest/doctest.h>

#include "io/contracts_writer.h"

using namespace rickyard;

namespace {

ContractRow row_at(int number, ContractForm form, double planted_ha) {
  ContractRow row;
  row.at.row = number;
  row.form = form;
  row.planted_ha = planted_ha;
  return row;
}

}  // namespace

TEST_CASE("only amounts of changed rows are written anew, every other cell is the user's own text") {
  RawTable table;
  table.header = {"contract", "form", "planted_ha", "contracted_t", "yield_t_ha", "region"};
  table.rows = {{2, {"a, \"upper\"", "area", "100.50", "", "6.0", "=north"}},
                {4, {"b", "area", "080", "", "5.90", "south"}},
                {5, {"c", "tonnage", "", "1e3", "", "south"}},
                {6, {"d", "tonnage", "50", "300", "", "south"}}};
  auto area = row_at(2, ContractForm::area, 123.45678), kept = row_at(4, ContractForm::area, 80);
  auto bare = row_at(5, ContractForm::tonnage, 200), full = row_at(6, ContractForm::tonnage, 25);
  bare.contracted_t = 1200;
  full.contracted_t = 150;
  CHECK(contracts_csv(table, {area, kept, bare, full}, {1, 0, 1, 1}) ==
        "contract,form,planted_ha,contracted_t,yield_t_ha,region\r\n"
        "\"a, \"\"upper\"\"\",area,123.4568,,6.0,=north\r\n"
        "b,area,080,,5.90,south\r\n"
        "c,tonnage,,1200,,south\r\n"
        "d,tonnage,25,150,,south\r\n");
}

TEST_CASE("dates of a sheet become dates of a CSV table") {
  RawTable table;
  table.sheet = true;
  table.header = {"region", "sign_by", "planted_ha"};
  table.rows = {{2, {"north/west", "2027/03/31", "100"}}};
  CHECK(contracts_csv(table, {row_at(2, ContractForm::area, 100)}, {0}) == "region,sign_by,planted_ha\r\nnorth/west,2027-03-31,100\r\n");
  table.sheet = false;
  CHECK(contracts_csv(table, {row_at(2, ContractForm::area, 100)}, {0}).find("2027/03/31") != std::string::npos);
}
