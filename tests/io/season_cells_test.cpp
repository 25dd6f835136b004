// One cell to one value. Dates of sheets are spelled as OGR 3.6 gives them for XLSX and ODS (tried, not documented).
#include "io/season_cells.h"

#include <doctest/doctest.h>

namespace rickyard {
namespace {

TEST_CASE("numbers are read whole and without a locale") {
  for (const auto& [text, value] :
       {std::pair{"5.9", 5.9}, {"-0.5", -0.5}, {"1e3", 1000.0}, {".5", 0.5}, {"5.", 5.0}, {"0.1", 0.1}, {"007", 7.0}}) {
    CAPTURE(text);
    CHECK(parse_number(text).value == value);
  }
  for (const char* text : {"",     " 5",    "5 ",   "5,9", "1.2.3", "0x10",  "5e",         "--5",     "nan", "inf",
                           "-inf", "1e999", "five", "5 t", "1 000", "1'000", "1\u202f000", "1,000.5", "+5",  "\u00bd"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_number(text).value);
    CHECK_FALSE(parse_number(text).fault.message.empty());
    CHECK_FALSE(parse_number(text).fault.remedy.empty());
  }
}

TEST_CASE("each misspelling of a number has its own message") {
  CHECK(parse_number("5,9").fault.message == "the number has a decimal comma");
  CHECK(parse_number("12 500").fault.message == "the number has a thousand separator");
  CHECK(parse_number("1,250,000").fault.message == "the number has a thousand separator");
  CHECK(parse_number("1,250").fault.message == "a comma in a number is read neither as a decimal point nor as a thousand separator");
  CHECK(parse_number("5.9 t/ha").fault.message == "there is text after the number");
  CHECK(parse_number("NaN").fault.message == "this is not a finite number");
  CHECK(parse_number("1e-999").fault.message == "the number is too large or too small to hold");
}

TEST_CASE("whole numbers") {
  CHECK(parse_whole("2026").value == 2026);
  CHECK(parse_whole("2026.0").value == 2026);  // a sheet may write it so
  CHECK_FALSE(parse_whole("2026.5").value);
  CHECK_FALSE(parse_whole("99999999999").value);
}

TEST_CASE("dates are ISO in CSV; sheets may hold date cells") {
  CHECK(parse_day("2028-02-29", false).value == Date(2028, 2, 29));
  for (const char* text : {"2027-02-29", "2027/03/01", "2027-3-1", "01.03.2027", "2027-03-01T00:00:00", "20270301", ""})
    CHECK_FALSE(parse_day(text, false).value);
  CHECK(parse_day("2027/03/01", true).value == Date(2027, 3, 1));
  CHECK(parse_day("2027/03/01 00:00:00", true).value == Date(2027, 3, 1));
  CHECK_FALSE(parse_day("2027/03/01 12:00:00", true).value);
  CHECK(parse_day("2027-02-30", false).fault.message == "there is no such day in the calendar");
}

TEST_CASE("months; a sheet turns 2027-11 into the first of the month") {
  CHECK(parse_plan_month("2027-11", false).value == Month{2027, 11});
  CHECK(parse_plan_month("2027/11/01", true).value == Month{2027, 11});
  CHECK_FALSE(parse_plan_month("2027/11/01", false).value);
  CHECK_FALSE(parse_plan_month("2027/11/02", true).value);
  CHECK_FALSE(parse_plan_month("2027-13", false).value);
}

TEST_CASE("lists and months of the year") {
  CHECK(parse_list("a; b c ;d").value == std::vector<std::string>{"a", "b c", "d"});
  CHECK_FALSE(parse_list("a;;b").value);
  CHECK_FALSE(parse_list("a;a").value);
  CHECK((*parse_months("jan;dec").value)[11]);
  CHECK_FALSE((*parse_months("jan;dec").value)[1]);
  CHECK((*parse_months("all").value)[6]);
  CHECK_FALSE(parse_months("Jan").value);
}

TEST_CASE("words are spelled exactly, with a hint") {
  CHECK(parse_word<ContractForm>("tonnage").value == ContractForm::tonnage);
  CHECK_FALSE(parse_word<ContractForm>("Tonnage").value);
  CHECK(parse_word<ContractForm>("tonage").fault.remedy == "write area, area_capped or tonnage; did you mean \"tonnage\"?");
  CHECK_FALSE(parse_word<MinimumTake>("none").value);  // an empty cell says it
}

}  // namespace
}  // namespace rickyard
