#include <doctest/doctest.h>

#include <sstream>
#include <string>

#include "reports/contract_text.h"
#include "reports/decision_tables.h"
#include "reports/tables.h"
#include "tests/reports/sample_run.h"

using namespace rickyard;

namespace {

PlanDocument sample() {
  const auto run = sample_run();
  const auto answers = sample_answers(run);
  return run.document_with(&answers);
}

// One line: breaks and runs of spaces become one space.
std::string flowing(const std::string& text) {
  std::string out;
  for (char c : text)
    if (c != '\n' && c != ' ')
      out += c;
    else if (!out.empty() && out.back() != ' ')
      out += ' ';
  return out;
}

bool holds(const std::string& text, const std::string& part) { return flowing(text).find(part) != std::string::npos; }

}  // namespace

TEST_CASE("contract: the text says what to sign, what it is worth and what safety costs") {
  const auto text = contract_text(sample());
  CAPTURE(text);
  CHECK(holds(text, "north-area 250 ha 300 ha 32 42 270-330"));
  CHECK(holds(text, "One more hectare in north-area is worth 32"));
  CHECK(holds(text, "Ordering 400 t ahead costs 10,000"));
  CHECK(holds(text, "in 20 % of years it saves 40,000, in the others it costs 18,000; the dearest years are 150,000 cheaper"));
  CHECK(holds(text, "merchant: 250 per t now, 272 after harvest on average, over 310 1 year in 10; gone by half or more in 15 % of years"));
  CHECK(holds(text, "vessel: 320 per t now; it cannot be ordered after harvest"));
  CHECK(holds(text, "In an average year own grain leaves a gap of 1,200 t"));
  CHECK(holds(text, "merchant 600 t: 600 t short, 150,000"));
  CHECK_FALSE(holds(text, "merchant 600 t + vessel"));  // another choice is better
  CHECK(holds(text, "For own grain to cover 2,500 t in 80 % of years, sign 825 ha instead of the table's 660"));
  CHECK(holds(text, "> 0.50 950,000 1,200,000 85 % 120 t"));
  CHECK(holds(text, "Planning for the mean year alone would cost 12,500"));
  CHECK(holds(text, "Knowing the year beforehand would be worth 61,000"));
  CHECK(holds(text, "Contract clauses and price cover need a lawyer or a licensed adviser"));
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) CHECK_MESSAGE(line.size() <= 80, line);
}

TEST_CASE("contract: what is wrong or missing in the document is shown as it stands") {
  auto document = sample();
  document.contracts[0].proposed = 999;
  document.contracts[0].contract = "a name that is far too long for its column\x1b[31m";
  document.solution = {"stopped", 0.031};
  document.decision->insurance.possible_without = false;
  document.decision->hectares_needed->hectares_needed.reset();
  document.decision->frontier.clear();
  document.decision->limit_ladder.clear();
  document.store.capacity_t = 100;
  document.store.chance_full = 0.3;
  const auto text = contract_text(document);
  CAPTURE(text);
  CHECK(holds(text, "999 ha"));
  CHECK(text.find('\x1b') == std::string::npos);
  CHECK(holds(text, "at most 3.1 % dearer than the best there is"));
  CHECK(holds(text, "without orders ahead a rule of the season cannot be kept"));
  CHECK(holds(text, "no number of hectares that may still be signed is enough"));
  CHECK(holds(text, "The store is full in 30 % of years"));
  CHECK_FALSE(holds(text, "What more safety costs"));
  CHECK_FALSE(holds(text, "Another nitrogen limit"));
}

TEST_CASE("contract: its tables stand beside those of a plan, with a header also where they are empty") {
  const auto plain = plan_tables(sample_run().document()), full = plan_tables(sample());
  CHECK(full.size() == plain.size() + 9);
  auto document = sample();
  const auto filled = decision_tables(document);
  document.decision = DecisionDocument{};
  document.contracts.clear();
  const auto empty = decision_tables(document);
  REQUIRE(empty.size() == filled.size());
  for (std::size_t t = 0; t < empty.size(); ++t) CHECK(empty[t].columns == filled[t].columns);
}
