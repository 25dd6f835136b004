// What the contract command answers: its blocks, by the names that the document uses.
#include <algorithm>

#include "planner/document/build_document.h"

namespace rickyard {
namespace {

constexpr double kLeastOrder = 1e-4;  // t: what rounding leaves is no order

using Document = DecisionDocument;

std::string unit_of(const ContractRow& row) { return row.form == ContractForm::tonnage ? "t" : "ha"; }

const std::string& source_name(const Season& season, int backup) { return season.backups[static_cast<std::size_t>(backup)].source; }

std::vector<Document::FrontierPoint> frontier(const Season& season, const Decision& decision) {
  std::vector<Document::FrontierPoint> out;
  for (const auto& point : decision.frontier) {
    Document::FrontierPoint block{
        point.lambda, point.expected_cost, point.cvar, point.chance_covered, point.unmet_t, point.lambda == decision.lambda, {}, {}};
    for (std::size_t c = 0; c < point.amount.size(); ++c)
      block.contracts.push_back({season.contracts[c].contract, point.amount[c], unit_of(season.contracts[c])});
    for (std::size_t b = 0; b < point.ordered_t.size(); ++b)
      if (point.ordered_t[b] > kLeastOrder) block.orders.push_back({season.backups[b].source, point.ordered_t[b]});
    out.push_back(std::move(block));
  }
  return out;
}

Document::Insurance insurance(const Insurance& in) {
  return {in.possible_without,
          in.ordered_t,
          in.expected_cost,
          in.expected_cost_without,
          in.cvar,
          in.cvar_without,
          in.chance_covered,
          in.chance_covered_without,
          in.extra_in_other_years,
          in.saved_in_bad_years,
          in.weight_of_bad_years,
          in.expected_cost - in.expected_cost_without};
}

Document::PriceForms price_forms(const Season& season, const PriceForms& forms, const PlanDocument& document) {
  const auto list = [](const PriceForms::ByLevel& values) { return std::vector<double>(values.begin(), values.end()); };
  Document::PriceForms out;
  out.feed_per_t = list(forms.feed_per_t);
  for (const auto& row : forms.rows) {
    const auto c = static_cast<std::size_t>(row.contract);
    const auto& contract = season.contracts[c];
    const char* form = contract.price_form == PriceForm::fixed       ? "fixed"
                       : contract.price_form == PriceForm::feed_plus ? "feed_plus"
                                                                     : "collar";
    out.contracts.push_back({contract.contract, form, row.premium_per_t, row.floor_per_t, row.ceiling_per_t,
                             document.contracts[c].accepted_t.mean, list(row.fixed), list(row.feed_plus), list(row.collar)});
  }
  return out;
}

std::vector<Document::LotGap> lots(const Season& season, const std::vector<LotGap>& gaps) {
  std::vector<Document::LotGap> out;
  for (const auto& gap : gaps) {
    Document::LotGap block{gap.years, gap.qualifying_t, gap.committed_t, gap.gap_t, {}};
    for (const auto& choice : gap.choices) {
      Document::LotChoice row{{},          choice.short_t,  choice.over_t, choice.grain_cost, choice.resale, choice.short_cost,
                              choice.cost, choice.dominated};
      for (std::size_t i = 0; i < choice.backups.size(); ++i) row.parts.push_back({source_name(season, choice.backups[i]), choice.t[i]});
      block.choices.push_back(std::move(row));
    }
    out.push_back(std::move(block));
  }
  return out;
}

}  // namespace

void add_decision(const DocumentInput& in, PlanDocument& document) {
  const ContractAnswers& answers = *in.answers;
  const Decision& decision = answers.decision;
  document.cost.value_of_stochastic_solution = decision.value_of_stochastic_solution;
  document.cost.value_of_perfect_information = decision.value_of_perfect_information;
  for (std::size_t c = 0; c < decision.one_more.size() && c < document.contracts.size(); ++c)
    document.contracts[c].one_more =
        PlanDocument::OneMore{document.contracts[c].unit, decision.one_more[c].more_saves, decision.one_more[c].less_costs};

  Document out;
  out.frontier = frontier(in.season, decision);
  for (std::size_t c = 0; c < decision.stability.size(); ++c)
    out.stability.push_back(
        {in.season.contracts[c].contract, unit_of(in.season.contracts[c]), decision.stability[c].p10, decision.stability[c].p90});
  for (const auto& one : decision.waiting)
    out.waiting.push_back(
        {source_name(in.season, one.backup), one.ordered_now_t, one.now_per_t, one.later_mean_per_t, one.later_p90_per_t, one.chance_gone});
  out.insurance = insurance(decision.insurance);
  for (const auto& step : answers.limit_ladder)
    out.limit_ladder.push_back({step.limit_n_pct, step.stop_n_pct, step.qualifying_t, step.claims, step.litres_lost_lpa, step.expected_cost,
                                step.cvar, step.chance_covered, step.unmet_t});
  out.price_forms = price_forms(in.season, answers.price_forms, document);
  out.lots = lots(in.season, answers.lots);
  if (answers.hectares_needed) {
    const auto& h = *answers.hectares_needed;
    out.hectares_needed = Document::Hectares{h.chance,          h.asked_t,          h.qualifying_t,       h.hectares,           h.scale,
                                             h.hectares_needed, h.median_surplus_t, h.surplus_cost_per_t, h.median_surplus_cost};
  }
  document.decision = std::move(out);
}

}  // namespace rickyard
