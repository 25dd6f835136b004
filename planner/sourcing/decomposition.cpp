#include "planner/sourcing/decomposition.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "planner/base/blocks.h"
#include "planner/sourcing/cut_master.h"
#include "planner/sourcing/recourse.h"

namespace rickyard {
namespace {

using std::size_t;

size_t at(int i) { return static_cast<size_t>(i); }

constexpr double kFirstRadius = 0.5;           // of each column's range
constexpr double kSerious = 0.1;               // share of the promised saving that moves the centre
constexpr int kFirstNodes = 200;               // of the search for integers while the planes still move
constexpr size_t kFew = 20, kMany = 3 * kFew;  // scenarios solved first to start near the answer, and from how many on
constexpr int kOwnTurns = 20;
constexpr int kChosenTogether = 40;  // integers that scenarios own, at most, for the master to choose them too
constexpr double kNewPlane = 1e-11;  // relative: a plane this little above the estimate adds nothing

}  // namespace

double TwoStageSolution::gap() const { return std::max(0.0, objective - bound) / std::max(1.0, std::abs(objective)); }

struct Decomposition::State {
  State(const TwoStage& problem_in, const DecompositionOptions& options_in) : problem(problem_in), options(options_in), master(problem_in) {
    for (const auto& s : problem.scenarios) recourse.emplace_back(s);
  }

  const TwoStage& problem;
  DecompositionOptions options;
  CutMaster master;
  std::vector<Recourse> recourse;
  int rounds = 0;
  bool started = false;  // scenarios have a basis to start from

  // A first stage with what every scenario says of it.
  struct Point {
    std::vector<double> x;
    std::vector<Recourse::Answer> answers;
    std::vector<double> cost;
    LpStatus status = LpStatus::stopped;
    double objective = 0;  // with tie costs
    bool lives() const { return status == LpStatus::optimal; }
  };
  Point look(const std::vector<double>& x);
  int add_planes(const Point& point, const std::vector<double>& estimate);
  bool out_of_time() const { return rounds >= options.max_rounds || (options.stop && options.stop()); }

  struct Search {
    Point best;
    double bound = -kNoBound;
    LpStatus status = LpStatus::stopped;
  };
  std::optional<Point> from_a_few();
  Search search(const Point* start);
  Point settle_own(std::vector<double> x);
  Search search_integer(Search relaxed);
  TwoStageSolution solution(const Search& found) const;
};

Decomposition::State::Point Decomposition::State::look(const std::vector<double>& x) {
  Point out;
  out.x = x;
  out.answers.resize(recourse.size());
  if (!started && !recourse.empty()) {
    recourse[0].solve(x);
    for (size_t s = 1; s < recourse.size(); ++s) recourse[s].start_from(recourse[0]);
  }
  started = true;
  for_each_block(static_cast<int>(recourse.size()), options.threads, [&](int s) { out.answers[at(s)] = recourse[at(s)].solve(x); });
  out.status = LpStatus::optimal;
  for (const auto& answer : out.answers) {
    if (answer.status != LpStatus::optimal && out.status != LpStatus::stopped) out.status = answer.status;
    out.cost.push_back(answer.cost);
  }
  out.objective = out.status == LpStatus::optimal
                      ? master.own_cost(x) + risk_adjusted(out.cost, master.weight(), master.lambda(), master.alpha())
                      : kNoBound;
  return out;
}

// Adds the planes that say more than the estimates did, and a scenario's first; an empty estimate takes all.
int Decomposition::State::add_planes(const Point& point, const std::vector<double>& estimate) {
  int added = 0;
  for (size_t s = 0; s < point.answers.size(); ++s) {
    const auto& answer = point.answers[s];
    if (answer.status == LpStatus::stopped || answer.status == LpStatus::unbounded) continue;
    const bool feasibility = answer.cut.feasibility;
    if (!feasibility && !estimate.empty() && master.has_plane(static_cast<int>(s)) &&
        answer.cut.at(point.x) <= estimate[s] + kNewPlane * (1 + std::abs(estimate[s])))
      continue;
    master.add(static_cast<int>(s), answer.cut);
    ++added;
  }
  return added;
}

// Many scenarios: the best first stage of a few of them, evenly spaced, is near that of all, and the rounds that look far off are spent
// on the few. Nothing where there are few, where planes are known already, or where some scenario cannot live with it.
std::optional<Decomposition::State::Point> Decomposition::State::from_a_few() {
  const size_t all = problem.scenarios.size();
  if (started || all < kMany) return {};
  TwoStage few{problem.first, problem.integer, problem.tie_cost, {}, problem.lambda, problem.alpha};
  few.first = master.first();
  std::fill(few.integer.begin(), few.integer.end(), char{0});
  double weight = 0;
  for (size_t k = 0; k < kFew; ++k) {
    few.scenarios.push_back(problem.scenarios[k * all / kFew]);
    weight += few.scenarios.back().weight;
  }
  if (!(weight > 0)) return {};
  for (auto& s : few.scenarios) s.weight /= weight;
  const auto near = Decomposition(few, options).solve();
  if (!near.found) return {};
  auto point = look(near.x);
  add_planes(point, {});
  if (!point.lives()) return {};
  return point;
}

Decomposition::State::Search Decomposition::State::search(const Point* start) {
  Search found;
  const auto& first = master.first();
  const size_t n = at(first.columns());
  double radius = kFirstRadius;
  if (start) found.best = *start;
  for (bool whole = !start; !out_of_time(); ++rounds) {
    std::vector<double> lower = first.column_lower, upper = first.column_upper;
    if (!whole)
      for (size_t j = 0; j < n; ++j) {
        const double reach = radius * (upper[j] - lower[j]);
        lower[j] = std::max(lower[j], found.best.x[j] - reach);
        upper[j] = std::min(upper[j], found.best.x[j] + reach);
      }
    const auto next = master.solve(lower, upper);
    if (next.status == LpStatus::infeasible && !whole) {
      whole = true;
      continue;
    }
    if (next.status != LpStatus::optimal) {
      found.status = next.status;
      return found;
    }
    const bool proves = whole && master.complete();
    if (proves) found.bound = std::max(found.bound, next.objective);
    const double best = found.best.lives() ? found.best.objective : kNoBound, promised = best - next.objective;
    if (!whole && master.complete() && promised <= 1e-3 * options.gap * (1 + std::abs(best)) + 1e-7 * std::abs(best)) {
      whole = true;  // nothing left near the best point: look everywhere
      continue;
    }
    const Point point = look(next.x);
    if (point.status == LpStatus::stopped || point.status == LpStatus::unbounded) {
      found.status = point.status;
      return found;
    }
    const int added = add_planes(point, next.estimate);
    const bool better = point.objective < best;
    const bool serious = found.best.lives() && best - point.objective >= kSerious * promised;
    if (better && point.lives()) found.best = point;
    if (proves && point.status == LpStatus::optimal &&
        (added == 0 || point.objective - next.objective <= options.gap * (1 + std::abs(point.objective)))) {
      found.best = point;
      found.status = LpStatus::optimal;
      return found;
    }
    if (found.best.lives() && whole && found.best.objective - found.bound > 1e-6 * (1 + std::abs(found.best.objective))) whole = false;
    if (!whole) radius = serious ? std::min(1.0, 2 * radius) : std::max(1e-6, point.objective > best ? radius / 2 : radius);
    master.forget_idle();
  }
  found.status = LpStatus::stopped;
  return found;
}

// Whole numbers that one scenario owns, at a given shared part: chosen by its planes, looked at, chosen again until they hold.
Decomposition::State::Point Decomposition::State::settle_own(std::vector<double> x) {
  Point best;
  for (int turn = 0; turn < kOwnTurns; ++turn, ++rounds) {
    const auto scenarios = static_cast<int>(recourse.size());
    std::vector<std::vector<double>> chosen(recourse.size());
    for_each_block(scenarios, options.threads, [&](int s) {
      if (!master.own_integers(s).empty()) chosen[at(s)] = master.choose_own(s, x);
    });
    bool all = true;
    for (int s = 0; s < scenarios; ++s) {
      const auto& own = master.own_integers(s);
      all = all && chosen[at(s)].size() == own.size();
      for (size_t k = 0; all && k < own.size(); ++k) x[at(own[k])] = chosen[at(s)][k];
    }
    if (!all) break;
    const auto estimates = master.estimates(x);
    Point point = look(x);
    const int added = add_planes(point, estimates);
    if (point.status == LpStatus::optimal && (!best.lives() || point.objective < best.objective)) best = point;
    if (added == 0) break;
  }
  return best;
}

// Shared integers are chosen by the master, then each scenario's own; what the planes promise is made sharper until it holds.
Decomposition::State::Search Decomposition::State::search_integer(Search relaxed) {
  Search found;
  found.bound = relaxed.bound;
  int nodes = kFirstNodes;
  std::vector<double> before_x;
  bool together = master.owned_integers() <= kChosenTogether;
  for (; !out_of_time(); ++rounds) {
    const auto next = master.solve_integer(options.integer_gap / 4, nodes, together);
    if (next.answer.status != LpStatus::optimal) {
      found.status = next.answer.status;
      break;
    }
    found.bound = std::max(found.bound, next.bound);
    const Point asked = look(next.answer.x);
    const int added = add_planes(asked, next.answer.estimate);
    const Point point = together ? asked : settle_own(next.answer.x);
    if (point.lives() && (!found.best.lives() || point.objective < found.best.objective)) found.best = point;
    const bool same = before_x == next.answer.x;
    before_x = next.answer.x;
    if (!found.best.lives() && !same) continue;
    if (!found.best.lives() && !together) {  // no scenario finds whole numbers here: the master must choose them all
      together = true;
      continue;
    }
    const bool within =
        found.best.lives() && found.best.objective - found.bound <= options.integer_gap * (1 + std::abs(found.best.objective));
    if (within || ((added == 0 || same) && nodes >= options.max_nodes)) {
      found.status = found.best.lives() ? LpStatus::optimal : LpStatus::stopped;
      break;
    }
    if (added == 0 || same) nodes = std::min(options.max_nodes, 8 * nodes);  // the planes hold: only a longer search can bring more
  }
  if (!found.best.lives()) return found;
  // The rest of the first stage, at these integers, to its own optimum.
  const LpProblem before = master.first();
  for (int j = 0; j < before.columns(); ++j)
    if (master.integer()[at(j)]) master.set_first_bounds(j, found.best.x[at(j)], found.best.x[at(j)]);
  const Search rest = search(&found.best);
  for (int j = 0; j < before.columns(); ++j) master.set_first_bounds(j, before.column_lower[at(j)], before.column_upper[at(j)]);
  if (rest.best.lives()) found.best = rest.best;
  return found;
}

TwoStageSolution Decomposition::State::solution(const Search& found) const {
  TwoStageSolution out;
  out.status = found.status;
  out.rounds = rounds;
  out.x = found.best.x;
  out.found = found.best.lives();
  if (!out.found) return out;
  out.scenario_cost = found.best.cost;
  const double tie = master.tie_cost(out.x);
  out.objective = found.best.objective - tie;
  out.bound = std::min(found.bound - tie, out.objective);
  return out;
}

Decomposition::Decomposition(const TwoStage& problem, const DecompositionOptions& options)
    : state_(std::make_unique<State>(problem, options)) {}
Decomposition::Decomposition(Decomposition&&) noexcept = default;
Decomposition::~Decomposition() = default;

TwoStageSolution Decomposition::solve() {
  auto& s = *state_;
  s.rounds = 0;
  const auto start = s.from_a_few();
  auto found = s.search(start ? &*start : nullptr);
  if (s.master.has_integers() && found.status == LpStatus::optimal) found = s.search_integer(found);
  return s.solution(found);
}

TwoStageSolution Decomposition::evaluate(const std::vector<double>& x) {
  auto& s = *state_;
  const auto point = s.look(x);
  s.add_planes(point, {});
  State::Search found;
  found.status = point.status;
  if (point.status == LpStatus::optimal) found.best = point;
  auto out = s.solution(found);
  out.bound = out.objective;
  return out;
}

void Decomposition::set_risk(double lambda, double alpha) { state_->master.set_risk(lambda, alpha); }
void Decomposition::set_weights(const std::vector<double>& weight) { state_->master.set_weights(weight); }
void Decomposition::set_first_bounds(int column, double lower, double upper) { state_->master.set_first_bounds(column, lower, upper); }
void Decomposition::set_first_row(int row, double lower, double upper) { state_->master.set_first_row(row, lower, upper); }

}  // namespace rickyard
