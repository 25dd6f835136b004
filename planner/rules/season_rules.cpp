#include "planner/rules/season_rules.h"

#include "planner/rules/rule_context.h"

namespace rickyard {

Findings check_season(const Season& season, const std::set<std::string>& unread) {
  Findings findings;
  const rules::RuleContext context{season, unread, findings};
  rules::check_all_bounds(context);
  rules::check_keys(context);
  rules::check_data_sources(context);
  rules::check_contracts(context);
  rules::check_backups(context);
  rules::check_demand(context);
  rules::check_stock_and_stores(context);
  rules::check_prices_and_outlets(context);
  rules::check_varieties_and_history(context);
  rules::check_risk(context);
  rules::check_cases(context);
  rules::check_unplanned(context);
  return findings;
}

Findings check_patch(const Season& season, const SeasonPatch& patch) {
  Findings findings;
  const std::set<std::string> unread;
  rules::check_one_patch({season, unread, findings}, patch, -1);
  return findings;
}

}  // namespace rickyard
