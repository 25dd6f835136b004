// What a season may state and this version reads and checks, but does not plan with: said, never silent.
#include "planner/rules/rule_context.h"
#include "planner/rules/season_words.h"

namespace rickyard::rules {

void check_unplanned(const RuleContext& context) {
  const Season& season = context.season;
  for (std::size_t i = 0; i < season.backups.size(); ++i) {
    const BackupRow& row = season.backups[i];
    if (row.lot_t.value_or(0) > 0 && *row.lot_t <= row.cap_t_month.value_or(0))
      context.warning(cell("backups", i, "lot_t"), shown(row.lot_t),
                      "whole lots are not planned yet: orders from the source may be of any size", "round its orders to lots by hand");
    if (row.min_take_kind == MinimumTake::if_used && row.min_take_t.value_or(0) > 0)
      context.warning(cell("backups", i, "min_take_t"), shown(row.min_take_t),
                      "a least take that counts only if the source is used is not planned yet: smaller orders are possible",
                      "raise a smaller order to it by hand, or use standing");
  }
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
  if (season.risk.p)
    context.warning(FieldPath{"season", -1, "risk.p"}, shown(season.risk.p), "a chance of meeting the need is not planned for yet",
                    "read the chance in the plan, and change the contracts to raise it");
}

}  // namespace rickyard::rules
