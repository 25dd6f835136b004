#pragma once
// What the contract command answers beside the plan, as the plan document holds it. Figures in the season's money; means are over the
// programme's scenarios unless a figure says otherwise.
#include <optional>
#include <string>
#include <vector>

#include "planner/base/range.h"

namespace rickyard {

struct DecisionDocument {
  struct Amount {
    std::string contract;
    double amount = 0;
    std::string unit;  // "ha" or "t"
  };
  struct Order {
    std::string source;
    double t = 0;
  };
  struct FrontierPoint {
    double lambda = 0, expected_cost = 0, cvar = 0, chance_covered = 0, unmet_t = 0;
    bool chosen = false;  // the weight that the plan was made with
    std::vector<Amount> contracts;
    std::vector<Order> orders;  // before the harvest is known; sources with any
  };
  struct Stability {
    std::string contract, unit;
    double p10 = 0, p90 = 0;  // proposed amount over bootstrapped weather years
  };
  struct Waiting {
    std::string source;
    double ordered_now_t = 0, now_per_t = 0;
    std::optional<double> later_mean_per_t, later_p90_per_t;  // empty: cannot be ordered after harvest
    double chance_gone = 0;
  };
  struct Insurance {
    bool possible_without = true;  // false: a rule cannot be kept without orders ahead; nothing to compare
    double ordered_t = 0;
    double expected_cost = 0, expected_cost_without = 0, cvar = 0, cvar_without = 0, chance_covered = 0, chance_covered_without = 0;
    double extra_in_other_years = 0, saved_in_bad_years = 0, weight_of_bad_years = 0;
    double net = 0;  // what ordering ahead costs on average: expected_cost - expected_cost_without; negative: it pays by itself
  };
  struct Limit {
    double limit_n_pct = 0, stop_n_pct = 0;
    Range qualifying_t;
    double claims = 0, litres_lost_lpa = 0, expected_cost = 0, cvar = 0, chance_covered = 0, unmet_t = 0;
  };
  struct ContractPrices {
    std::string contract, form;
    double premium_per_t = 0, floor_per_t = 0, ceiling_per_t = 0, accepted_t = 0;
    std::vector<double> fixed, feed_plus, collar;  // by feed level
  };
  struct PriceForms {
    std::vector<double> feed_per_t;  // low, as planned, high
    std::vector<ContractPrices> contracts;
  };
  struct LotPart {
    std::string source;
    double t = 0;
  };
  struct LotChoice {
    std::vector<LotPart> parts;
    double short_t = 0, over_t = 0, grain_cost = 0, resale = 0, short_cost = 0, cost = 0;
    bool dominated = false;
  };
  struct LotGap {
    std::string years;
    double qualifying_t = 0, committed_t = 0, gap_t = 0;
    std::vector<LotChoice> choices;
  };
  struct Hectares {
    double chance = 0, asked_t = 0, qualifying_t = 0, hectares = 0;
    std::optional<double> scale, hectares_needed;
    double median_surplus_t = 0, surplus_cost_per_t = 0, median_surplus_cost = 0;
  };

  std::vector<FrontierPoint> frontier;
  std::vector<Stability> stability;
  std::vector<Waiting> waiting;
  Insurance insurance;
  std::vector<Limit> limit_ladder;
  PriceForms price_forms;
  std::vector<LotGap> lots;
  std::optional<Hectares> hectares_needed;
};

}  // namespace rickyard
