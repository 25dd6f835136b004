// The one file that knows the integer solver (COIN-OR Cbc).
#include <cmath>
#include <coin/CbcModel.hpp>
#include <coin/CglFlowCover.hpp>
#include <coin/CglGomory.hpp>
#include <coin/CglMixedIntegerRounding2.hpp>
#include <coin/CglProbing.hpp>
#include <coin/OsiClpSolverInterface.hpp>

#include "planner/sourcing/solver_load.h"
#include "planner/sourcing/warm_lp.h"

namespace rickyard {

IntegerSolution solve_integer(const LpProblem& problem, const std::vector<char>& integer, double relative_gap, int max_nodes) {
  OsiClpSolverInterface lp;
  lp.setHintParam(OsiDoReducePrint, true, OsiHintTry);
  lp.messageHandler()->setLogLevel(0);
  const auto a = solver_arrays(problem, lp.getInfinity());
  lp.loadProblem(problem.columns(), problem.rows(), a.start.data(), a.row.data(), a.value.data(), a.column_lower.data(),
                 a.column_upper.data(), problem.cost.data(), a.row_lower.data(), a.row_upper.data());
  for (int j = 0; j < problem.columns(); ++j)
    if (integer[static_cast<std::size_t>(j)]) lp.setInteger(j);
  CbcModel model(lp);
  model.setLogLevel(0);
  model.messageHandler()->setLogLevel(0);
  model.setAllowableFractionGap(relative_gap);
  model.setAllowableGap(0);
  model.setMaximumNodes(max_nodes);
  CglProbing probing;
  CglGomory gomory;
  CglMixedIntegerRounding2 rounding;
  CglFlowCover flow;
  model.addCutGenerator(&probing, -1, "probing");
  model.addCutGenerator(&gomory, -1, "gomory");
  model.addCutGenerator(&rounding, -1, "rounding");
  model.addCutGenerator(&flow, -1, "flow");
  model.initialSolve();
  IntegerSolution out;
  if (model.isInitialSolveProvenPrimalInfeasible()) {
    out.status = LpStatus::infeasible;
    return out;
  }
  model.branchAndBound();
  if (!model.bestSolution()) {
    out.status = model.isProvenInfeasible() ? LpStatus::infeasible : LpStatus::stopped;
    return out;
  }
  out.status = model.isProvenOptimal() ? LpStatus::optimal : LpStatus::stopped;
  out.objective = model.getObjValue();
  out.bound = model.getBestPossibleObjValue();
  out.value.assign(model.bestSolution(), model.bestSolution() + problem.columns());
  for (std::size_t j = 0; j < out.value.size(); ++j)
    if (integer[j]) out.value[j] = std::round(out.value[j]);
  return out;
}

}  // namespace rickyard
