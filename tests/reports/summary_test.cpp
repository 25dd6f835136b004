#include <doctest/doctest.h>

#include <sstream>
#include <string>

#include "planner/document/build_document.h"
#include "reports/plain_words.h"
#include "reports/summary_text.h"
#include "tests/reports/sample_run.h"

using namespace rickyard;

namespace {

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

std::string first_sentence(PlanDocument document) {
  document.totals = totals_block(document);
  std::string text = summary_text(document).substr(0, 200);
  for (std::size_t at = text.find("\n  "); at != std::string::npos; at = text.find("\n  ")) text.replace(at, 3, " ");
  return text.substr(0, text.find('\n'));
}

// All months of all lines short by `t` in the years given by position, not at all in the others.
void short_in(PlanDocument& document, const std::vector<std::size_t>& years, double t) {
  for (auto& block : document.months) block.unmet_by_year_t.assign(document.years.size(), 0);
  for (std::size_t y : years) document.months[0].unmet_by_year_t[y] = t;
  document.cover.first_unmet_month.clear();
  if (!years.empty()) document.cover.first_unmet_month = {{{2028, 3}, 0.1}};
}

}  // namespace

TEST_CASE("the first sentence answers the question") {
  auto document = sample_run().document();
  short_in(document, {0, 3}, 500);
  CHECK(first_sentence(document) == "In 4 of 6 weather years the season is covered; in 2 it runs short, first in March 2028.");
  short_in(document, {}, 0);
  CHECK(first_sentence(document) == "In all 6 weather years the season is covered.");
  document.cover.first_unmet_month = {{{2028, 5}, 0.01}};
  CHECK(first_sentence(document) == "In all 6 weather years the season is covered, but single draws of them run short, first in May 2028.");
  short_in(document, {0, 1, 2, 3, 4, 5}, 500);
  CHECK(first_sentence(document) == "In every one of 6 weather years the season runs short, first in March 2028.");
  document.season.model = "formulas";
  CHECK(first_sentence(document) == "In every one of 6 drawn years the season runs short, first in March 2028.");
  document.years.resize(1);
  CHECK(first_sentence(document) == "In the one drawn year the season runs short, first in March 2028.");
}

TEST_CASE("up to 0.1 % of need counts as covered") {
  auto document = sample_run().document();
  double need = 0;
  for (const auto& block : document.months) need += block.need_t;
  short_in(document, {2}, 0.0009 * need);
  CHECK(holds(first_sentence(document), "In all 6"));
  short_in(document, {2}, 0.0011 * need);
  CHECK(holds(first_sentence(document), "In 5 of 6"));
}

TEST_CASE("figures are those of the document, rounded for reading, even where they contradict each other") {
  auto document = sample_run().document();
  document.need.barley_t = 9244;
  document.supply.qualifying_t = {0, 5264, 7304, 8805};
  document.cover.backup_t = {0, 0, 0.3, 999.6};
  document.cost.total = {0, 1234567, 2000000, 12345};
  const auto text = summary_text(document);
  CHECK(holds(text, "Need                                                   9,240 t\n"));
  CHECK(holds(text, "Qualifying grain, all contracts          5,260 t       7,300 t         8,810 t\n"));
  CHECK(holds(text, "Bought from backups                          0 t     under 1 t         1,000 t\n"));
  CHECK(holds(text, "Cost, GBP                              1,230,000     2,000,000          12,300\n"));
  CHECK(holds(text, "1 year in 10"));
  CHECK_FALSE(holds(text, "P10"));
  CHECK(holds(text, std::to_string(document.warnings.size()) + " warnings in the report.\n"));
}

TEST_CASE("no line is wider than a terminal of 80 columns") {
  auto document = sample_run().document();
  for (int i = 0; i < 12; ++i) {
    document.months[0].blend.push_back(document.months[0].blend[0]);
    document.months[0].blend.back().origin = "An island with a long name, number " + std::to_string(i);
    document.months[0].blend.back().t.mean = 100 + i;
    document.decisions.push_back(document.decisions[0]);
  }
  document.totals = totals_block(document);
  document.season.case_name = "a case whose name says at some length what is changed in it and why";
  std::istringstream lines(summary_text(document));
  int count = 0;
  for (std::string line; std::getline(lines, line); ++count) {
    CAPTURE(line);
    CHECK(line.size() <= 80);
    CHECK((line.empty() || line.back() != ' '));
  }
  CHECK(count >= 15);
  CHECK(count <= 40);
}

TEST_CASE("totals are shown as the document has them, and never added up here") {
  auto document = sample_run().document();
  document.totals.opening_stock_t = 4321;
  document.totals.unmet_by_year_t.assign(document.years.size(), 700);
  document.totals.unmet_by_kind_t = {{"dry", 2500}, {"wet", 12}};
  document.totals.blend = {{"Home south", 60, 0.6}, {"Overseas", 40, 0.4}};
  const auto text = summary_text(document);
  CHECK(holds(text, "Old crop in store                                      4,320 t\n"));
  CHECK(holds(text, "Unmet need on average: 2,500 t in dry years, 12 t in wet years.\n"));
  CHECK(holds(text, "Blend of the season: Home south 60 %, Overseas 40 %.\n"));
}

TEST_CASE("each region names its two main drivers, and the title how far the season's weather is known") {
  auto document = sample_run().document();
  document.regions.resize(2);
  document.regions[0].drivers = {"too little water: 240 t a year on average, 0.41 t/ha", "thin grain: 60 t a year on average, 0.10 t/ha"};
  document.regions[1].drivers = {};
  CHECK_FALSE(holds(summary_text(document), "weather known"));
  document.season.weather_known_through = Date(2027, 6, 15);
  const auto text = summary_text(document);
  CHECK(holds(text, "as of 1 Mar 2027, weather known\n  through 15 Jun 2027\n"));
  CHECK(holds(text,
              "What takes most grain:\n  The south: too little water: 240 t a year on average, 0.41 t/ha\n    then thin grain: 60 t a year "
              "on average, 0.10 t/ha\nTo decide"));
}

TEST_CASE("orders due next: those to be placed before the harvest, earliest first") {
  auto document = sample_run().document();
  document.decisions = {{"order for 2028-03", "vessel", Date(2027, 12, 1), 4000, "after harvest", "x"},
                        {"order for 2027-11", "merchant", Date(2027, 9, 15), 1204, "now", "x"},
                        {"order for 2027-10", "merchant", Date(2027, 9, 1), 604, "now", "x"}};
  const auto text = summary_text(document);
  const auto first = text.find("  by 1 Sep 2027        604 t  merchant: order for 2027-10\n"),
             second = text.find("  by 15 Sep 2027     1,200 t  merchant: order for 2027-11\n");
  CHECK(first != std::string::npos);
  CHECK(second != std::string::npos);
  CHECK(first < second);
  CHECK_FALSE(holds(text, "vessel"));
  document.decisions.clear();
  CHECK(holds(summary_text(document), "Nothing has to be signed or ordered before the harvest is known.\n"));
}

TEST_CASE("names cannot steer a terminal") {
  auto document = sample_run().document();
  document.months[0].blend[0].origin = "Bad\x1B[2J\x07 isle\xC2\x9B";
  document.months[0].blend[0].t.mean = 1e6;
  document.totals = totals_block(document);
  document.season.currency = "G\x1B[31mBP";
  const auto text = summary_text(document);
  CHECK(holds(text, "Bad[2J isle"));
  for (char c : text) CHECK((c == '\n' || static_cast<unsigned char>(c) >= 0x20));
  CHECK_FALSE(holds(text, "\xC2\x9B"));
}

TEST_CASE("words for figures") {
  CHECK(grouped(1234567) == "1,234,567");
  CHECK(grouped(-1000) == "-1,000");
  CHECK(grouped(999) == "999");
  CHECK(tonnes_words(0) == "0");
  CHECK(tonnes_words(0.2) == "under 1");
  CHECK(tonnes_words(999.4) == "999");
  CHECK(tonnes_words(12345) == "12,350");
  CHECK(money_words(1234567) == "1,230,000");
  CHECK(money_words(-45678) == "-45,700");
  CHECK(money_words(999.6) == "1,000");
  CHECK(percent_words(0.434) == "43 %");
  CHECK(percent_words(0.001) == "under 1 %");
  CHECK(percent_words(0.998) == "over 99 %");
  CHECK(percent_words(1) == "100 %");
  CHECK(chance_words(0.931) == "93 in 100");
  CHECK(chance_words(1) == "certain");
  CHECK(chance_words(0) == "none");
  CHECK(chance_words(0.9999) == "over 99 in 100");
  CHECK(date_words(Date(2027, 2, 5)) == "5 Feb 2027");
  CHECK(month_words({2028, 3}) == "March 2028");
  CHECK(wrapped("one two three", 7, "  ") == "one two\n  three");
  CHECK(wrapped("\xC3\xA9\xC3\xA9\xC3\xA9 two", 7, "") == "\xC3\xA9\xC3\xA9\xC3\xA9 two");
}
