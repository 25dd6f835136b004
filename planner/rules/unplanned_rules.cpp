// What a season may state and this version reads and checks, but does not plan with: said, never silent.
#include "planner/rules/rule_context.h"
#include "planner/rules/season_words.h"

namespace rickyard::rules {

void check_unplanned(const RuleContext& context) {
  const Season& season = context.season;
  for (std::size_t i = 0; i < season.contracts.size(); ++i)
    if (season.spec.limit_policy == LimitPolicy::after_harvest && season.contracts[i].reject_rule == RejectRule::feed_price)
      context.error(cell("contracts", i, "reject_rule"), "feed_price",
                    "rejects bought at the feed price and a limit raised after harvest are not planned together yet",
                    "set grower_keeps, or limit_policy = \"fixed\"");
  for (std::size_t i = 0; i < season.contracts.size(); ++i)
    if (season.model == ForecastModel::formulas && season.contracts[i].sown && *season.contracts[i].sown <= season.as_of)
      context.warning(cell("contracts", i, "sown"), to_text(*season.contracts[i].sown),
                      "with model = formulas the date on which a row was sown changes nothing",
                      "use model = \"daily\", or move sow_planned and judge its typical figures by the date");
}

}  // namespace rickyard::rules
