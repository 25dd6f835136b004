#include "tests/sourcing/other_solver.h"

#include <cmath>
#include <coin/ClpSimplex.hpp>
#include <coin/CoinPackedMatrix.hpp>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace rickyard::test {
namespace {

std::vector<double> coin(std::vector<double> bounds) {
  for (double& b : bounds)
    if (std::isinf(b)) b = b > 0 ? COIN_DBL_MAX : -COIN_DBL_MAX;
  return bounds;
}

void write_mps(const LpProblem& problem, const std::vector<char>& integer, const std::string& path) {
  std::vector<int> row, column;
  std::vector<double> value;
  for (const auto& entry : problem.entries) {
    row.push_back(entry.row);
    column.push_back(entry.column);
    value.push_back(entry.value);
  }
  CoinPackedMatrix matrix(true, row.data(), column.data(), value.data(), static_cast<CoinBigIndex>(value.size()));
  matrix.setDimensions(problem.rows(), problem.columns());
  ClpSimplex model;
  model.setLogLevel(0);
  model.loadProblem(matrix, coin(problem.column_lower).data(), coin(problem.column_upper).data(), problem.cost.data(),
                    coin(problem.row_lower).data(), coin(problem.row_upper).data());
  for (std::size_t j = 0; j < integer.size(); ++j)
    if (integer[j]) model.setInteger(static_cast<int>(j));
  if (model.writeMps(path.c_str(), 1, 2) != 0) throw std::runtime_error("cannot write " + path);
}

// The writer leaves out columns without coefficient and cost: the columns that the file holds, in its order.
std::vector<std::size_t> written_columns(const LpProblem& problem) {
  std::vector<bool> there(static_cast<std::size_t>(problem.columns()), false);
  for (const auto& entry : problem.entries) there[static_cast<std::size_t>(entry.column)] = true;
  std::vector<std::size_t> out;
  for (std::size_t j = 0; j < there.size(); ++j)
    if (there[j] || problem.cost[j] != 0) out.push_back(j);
  return out;
}

}  // namespace

OtherSolution solve_elsewhere(const LpProblem& problem, const std::string& folder, const std::string& name,
                              const std::vector<char>& integer) {
  const std::string mps = folder + "/" + name + ".mps", answer = folder + "/" + name + ".sol";
  write_mps(problem, integer, mps);
  std::remove(answer.c_str());
  const std::string command = "glpsol --freemps '" + mps + "' --write '" + answer + "' > '" + folder + "/" + name + ".log' 2>&1";
  if (std::system(command.c_str()) != 0) throw std::runtime_error("glpsol (package glpk-utils) did not run: " + command);
  std::ifstream in(answer);
  if (!in) throw std::runtime_error("glpsol wrote no " + answer);
  OtherSolution out;
  out.value = problem.column_lower;  // where a column that was left out stands
  const auto written = written_columns(problem);
  bool mixed = false;
  for (std::string line; std::getline(in, line);) {
    std::istringstream words(line);
    char kind = 0;
    words >> kind;
    if (kind == 's') {  // s bas rows columns primal dual objective; s mip rows columns status objective
      std::string what, primal, dual = "f";
      int rows = 0, columns = 0;
      words >> what >> rows >> columns >> primal;
      if (what == "bas") words >> dual;
      words >> out.objective;
      out.optimal = what == "bas" ? primal == "f" && dual == "f" : primal == "o";
      mixed = what == "mip";
      if (columns != static_cast<int>(written.size())) throw std::runtime_error("glpsol read another number of columns");
    } else if (kind == 'j') {  // j column status value; without status for integers
      int column = 0;
      std::string status;
      double value = 0;
      words >> column;
      if (!mixed) words >> status;
      words >> value;
      out.value[written.at(static_cast<std::size_t>(column - 1))] = value;
    }
  }
  return out;
}

}  // namespace rickyard::test
