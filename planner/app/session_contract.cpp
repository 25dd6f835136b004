// contract(): decide, plan at what was decided, and answer what a buyer asks about it.
#include <algorithm>
#include <chrono>

#include "planner/app/session.h"
#include "planner/app/session_watch.h"
#include "planner/decision/choice.h"
#include "planner/sourcing/plan_sourcing.h"
#include "planner/supply/make_scenarios.h"

namespace rickyard {
namespace {

using Clock = std::chrono::steady_clock;

// After a stop the plan at the best amounts so far still has to be made: contracts are fixed then, and so much time is given to it.
constexpr double kGraceSeconds = 30;

Clock::time_point after(double seconds) {
  return Clock::now() + std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds));
}

std::vector<double> listed_amounts(const Season& season) {
  std::vector<double> amounts;
  for (const auto& row : season.contracts) amounts.push_back(amount_of(row));
  return amounts;
}

bool moves(const std::vector<double>& scale) {
  return std::any_of(scale.begin(), scale.end(), [](double by) { return by != 1; });
}

}  // namespace

PlanResult Session::contract_once(const SeasonPatch& patch_in, std::optional<double> limit_s, Progress& progress,
                                  const std::stop_token& stop) {
  const SeasonPatch patch = whole_patch(patch_in);
  std::vector<StageTime> times;
  Watch watch(times);
  const PlanResult listed = grown(patch, watch, progress, stop);
  const auto deadline = limit_s ? std::optional(after(*limit_s)) : std::nullopt;
  const Stop stopped = [&] { return stop.stop_requested() || (deadline && Clock::now() >= *deadline); };
  const Decision decided = decision(patch, listed, stopped, watch, progress);
  PlanResult result = at_amounts(patch, listed, decided, stopped, watch, progress);
  result.answers = std::make_shared<const ContractAnswers>(answers(patch, listed, result, decided, stopped, watch, progress));
  result.document = document(patch, result);
  result.times = std::move(times);
  return result;
}

Decision Session::decision(const SeasonPatch& patch, const PlanResult& listed, const Stop& stop, Watch& watch, Progress& progress) {
  progress.stage("deciding what to sign and order");
  DecisionOptions options;
  options.threads = machine_.threads;
  options.stop = stop;
  auto found = watch.time(
      "decision", [&] { return decide(*listed.season, patch, *listed.forecast, *listed.need, *listed.supply, options, &progress); });
  if (found.why.empty()) return found.decision;
  if (stop()) throw Interrupted("stopped: " + found.why);
  throw ContradictionError(found.why);
}

// The season, its supply and its plan at the amounts decided.
PlanResult Session::at_amounts(const SeasonPatch& patch, const PlanResult& listed, const Decision& decision, const Stop& stop, Watch& watch,
                               Progress& progress) {
  PlanResult result = listed;
  result.season = std::make_shared<const Season>(season_at(*listed.season, decision.scale));
  result.supply = supply_at_amounts(patch, listed, decision.scale);
  progress.stage("planning at the proposed amounts");
  const auto grace = after(kGraceSeconds);
  const Stop in_grace = [&] { return stop() && Clock::now() >= grace; };
  result.sourcing = std::make_shared<const SourcingResult>(watch.time("programme", [&] {
    return plan_sourcing(*result.season, patch, *result.forecast, *result.need, *result.supply, &progress, {machine_.threads, in_grace});
  }));
  refuse_without_plan(*result.sourcing);
  return result;
}

// Tonnes are scaled with the amounts; what independent regions would give and how sure the percentiles are is drawn anew.
std::shared_ptr<SupplyScenarios> Session::supply_at_amounts(const SeasonPatch& patch, const PlanResult& listed,
                                                            const std::vector<double>& scale) {
  auto out = std::make_shared<SupplyScenarios>(supply_at(*listed.season, *listed.supply, scale));
  if (!moves(scale)) return out;
  const auto drawn = make_scenarios(season_at(*listed.season, scale), patch, *listed.forecast, machine_.threads, nullptr, reference_.get());
  out->independent_total_qualifying = drawn.independent_total_qualifying;
  out->independent_p5_t = drawn.independent_p5_t;
  out->sampling_p10 = drawn.sampling_p10;
  out->sampling_p50 = drawn.sampling_p50;
  out->sampling_p90 = drawn.sampling_p90;
  return out;
}

std::vector<LadderStep> Session::limit_ladder(const SeasonPatch& patch, const PlanResult& listed, const PlanResult& chosen,
                                              const std::vector<double>& scale, const Stop& stop, Progress& progress) {
  std::vector<LadderStep> steps;
  const Season table = season_at_limit(*listed.season), season = season_at_limit(*chosen.season);
  for (double limit : kLadderLimits) {
    if (stop()) break;
    const SeasonPatch other = patch_at_limit(*listed.season, patch, limit);
    const auto drawn = make_scenarios(table, other, *listed.forecast, machine_.threads, nullptr, reference_.get());
    const auto supply = supply_at(table, drawn, scale);
    const auto sourcing = plan_sourcing(season, other, *listed.forecast, *listed.need, supply, nullptr, {machine_.threads, stop});
    if (sourcing.status == SolveStatus::optimal) steps.push_back(ladder_step(season, other, supply, *listed.need, sourcing));
    progress.step(static_cast<long long>(steps.size()), std::ssize(kLadderLimits));
  }
  return steps;
}

ContractAnswers Session::answers(const SeasonPatch& patch, const PlanResult& listed, const PlanResult& chosen, const Decision& decision,
                                 const Stop& stop, Watch& watch, Progress& progress) {
  ContractAnswers out;
  out.decision = decision;
  out.listed_amount = listed_amounts(*listed.season);
  progress.stage("trying other nitrogen limits");
  out.limit_ladder = watch.time("limit ladder", [&] { return limit_ladder(patch, listed, chosen, decision.scale, stop, progress); });
  out.price_forms = compare_price_forms(*chosen.season);
  out.lots = compare_lots(*chosen.season, patch, *chosen.forecast, *chosen.need, *chosen.supply);
  const auto asked = asked_of_crop(*listed.season, patch, *listed.forecast, *listed.need, *listed.supply);
  out.hectares_needed = hectares_needed(*listed.season, *listed.supply, asked, listed.season->risk.p.value_or(kUsualChance));
  return out;
}

}  // namespace rickyard
