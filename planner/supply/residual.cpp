#include "planner/supply/residual.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "planner/base/draws.h"

namespace rickyard {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

MatrixXd target_covariance(const SpreadTarget& t, int regions) {
  MatrixXd cov(2 * regions, 2 * regions);
  for (int i = 0; i < regions; ++i)
    for (int j = 0; j < regions; ++j) {
      const double own = i == j ? 1 : 0;
      const double cross = std::sqrt(t.yield_common * t.n_common) + own * std::sqrt((1 - t.yield_common) * (1 - t.n_common));
      cov(i, j) = t.yield_cv * t.yield_cv * (t.yield_common + own * (1 - t.yield_common));
      cov(regions + i, regions + j) = t.n_sigma_pct * t.n_sigma_pct * (t.n_common + own * (1 - t.n_common));
      cov(i, regions + j) = cov(regions + j, i) = t.correlation * t.yield_cv * t.n_sigma_pct * cross;
    }
  return cov;
}

// Rows: years; columns: yield factors of the regions, then their mean N.
MatrixXd regional_series(const Season& season, const HarvestForecast& forecast, int regions) {
  const auto region = region_of_contract(season);
  const auto years = static_cast<int>(forecast.years.size());
  MatrixXd tonnes = MatrixXd::Zero(years, regions), n_tonnes = MatrixXd::Zero(years, regions);
  for (const auto& contract : forecast.contracts) {
    const auto c = static_cast<std::size_t>(contract.contract);
    const double ha = season.contracts[c].planted_ha.value_or(1);
    for (int y = 0; y < years; ++y)
      for (std::size_t k = 0; k < contract.units.size(); ++k) {
        const auto& unit = contract.at(y, static_cast<int>(k));
        const double t = ha * contract.share[k] * unit.yield_t_ha;
        tonnes(y, region[c]) += t;
        n_tonnes(y, region[c]) += t * unit.n_pct;
      }
  }
  MatrixXd series = MatrixXd::Zero(years, 2 * regions);
  for (int r = 0; r < regions; ++r) {
    const double mean = tonnes.col(r).mean();
    for (int y = 0; y < years; ++y) {
      series(y, r) = mean > 0 ? tonnes(y, r) / mean : 1;
      series(y, regions + r) = tonnes(y, r) > 0 ? n_tonnes(y, r) / tonnes(y, r) : 0;
    }
  }
  return series;
}

MatrixXd model_covariance(const Season& season, const HarvestForecast& forecast, int regions) {
  if (!forecast.from_weather || forecast.years.size() < 2) return MatrixXd::Zero(2 * regions, 2 * regions);
  MatrixXd series = regional_series(season, forecast, regions);
  series.rowwise() -= series.colwise().mean().eval();
  return series.transpose() * series / static_cast<double>(series.rows() - 1);
}

MatrixXd with_eigenvalues(const MatrixXd& symmetric, double (*f)(double)) {
  const Eigen::SelfAdjointEigenSolver<MatrixXd> solver(symmetric);
  return solver.eigenvectors() * solver.eigenvalues().unaryExpr(f).asDiagonal() * solver.eigenvectors().transpose();
}

}  // namespace

std::vector<std::string> contracted_regions(const Season& season) {
  std::vector<std::string> regions;
  for (const auto& row : season.contracts)
    if (std::find(regions.begin(), regions.end(), row.region) == regions.end()) regions.push_back(row.region);
  return regions;
}

std::vector<int> region_of_contract(const Season& season) {
  const auto regions = contracted_regions(season);
  std::vector<int> index;
  for (const auto& row : season.contracts)
    index.push_back(static_cast<int>(std::find(regions.begin(), regions.end(), row.region) - regions.begin()));
  return index;
}

SpreadTarget spread_target(const Season& season) {
  const auto& p = season.parameters;
  return {p["yield_cv"],       p["n_year_sigma_pct"],     p["yield_n_correlation"], p["yield_common_share"],
          p["n_common_share"], p["residual_floor_yield"], p["residual_floor_n_pct"]};
}

ResidualModel residual_model(const Season& season, const HarvestForecast& forecast) {
  ResidualModel model;
  model.regions = static_cast<int>(contracted_regions(season).size());
  model.from_weather = forecast.from_weather;
  model.target = spread_target(season);
  const int n = 2 * model.regions;
  const MatrixXd of_model = model_covariance(season, forecast, model.regions);
  MatrixXd residual = target_covariance(model.target, model.regions) - of_model;
  if (model.from_weather) {
    residual = with_eigenvalues(residual, [](double e) { return std::max(e, 0.0); });
    for (int i = 0; i < n; ++i) {
      const double floor = i < model.regions ? model.target.floor_yield : model.target.floor_n_pct;
      residual(i, i) = std::max(residual(i, i), floor * floor);
    }
    const MatrixXd root = with_eigenvalues(residual, [](double e) { return std::sqrt(std::max(e, 0.0)); });
    for (int i = 0; i < n; ++i)
      for (int j = 0; j < n; ++j) model.root.push_back(root(i, j));
  }
  for (int i = 0; i < n; ++i) {
    model.model_sd.push_back(std::sqrt(of_model(i, i)));
    model.residual_sd.push_back(std::sqrt(residual(i, i)));
  }
  return model;
}

void draw_residual(const ResidualModel& model, unsigned seed, int year, int draw, ResidualDraw& out) {
  const auto regions = static_cast<std::size_t>(model.regions);
  const double sign = draw % 2 == 0 ? 1 : -1;
  const auto normal = [&](std::size_t place, std::uint32_t index) {
    return sign *
           normal_draw(seed, DrawPurpose::residual,
                       {static_cast<std::uint32_t>(year), static_cast<std::uint32_t>(draw / 2), static_cast<std::uint32_t>(place), index});
  };
  out.yield_factor.assign(regions, 0);
  out.n_pct.assign(regions, 0);
  const auto& t = model.target;
  if (!model.from_weather) {
    const double rho = t.correlation, rest = std::sqrt(1 - rho * rho);
    const double common_z = normal(0, 0), common_e = normal(0, 1);
    for (std::size_t r = 0; r < regions; ++r) {
      const double z = normal(r + 1, 0), e = normal(r + 1, 1);
      out.yield_factor[r] = t.yield_cv * (std::sqrt(t.yield_common) * common_z + std::sqrt(1 - t.yield_common) * z);
      out.n_pct[r] =
          t.n_sigma_pct * (std::sqrt(t.n_common) * (rho * common_z + rest * common_e) + std::sqrt(1 - t.n_common) * (rho * z + rest * e));
    }
  } else {
    for (std::size_t v = 0; v < 2 * regions; ++v) {
      const double g = normal(v % regions + 1, v < regions ? 0 : 1);
      for (std::size_t r = 0; r < regions; ++r) {
        out.yield_factor[r] += model.root[r * 2 * regions + v] * g;
        out.n_pct[r] += model.root[(regions + r) * 2 * regions + v] * g;
      }
    }
  }
  for (double& factor : out.yield_factor) factor = std::max(1 + factor, 0.0);
}

}  // namespace rickyard
