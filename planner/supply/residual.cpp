#include "planner/supply/residual.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "planner/base/draws.h"

namespace rickyard {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

// exp(-distance / range) of every pair of regions, 1 on the diagonal and where a region has no position.
MatrixXd nearness(const Season& season, const HarvestForecast& forecast, const SpreadTarget& t, int regions) {
  const auto region = region_of_contract(season);
  std::vector<const ContractForecast*> at(static_cast<std::size_t>(regions), nullptr);
  for (const auto& contract : forecast.contracts) {
    auto& first = at[static_cast<std::size_t>(region[static_cast<std::size_t>(contract.contract)])];
    if (first == nullptr) first = &contract;
  }
  MatrixXd near = MatrixXd::Ones(regions, regions);
  for (int i = 0; i < regions; ++i)
    for (int j = 0; j < i; ++j) {
      const auto *a = at[static_cast<std::size_t>(i)], *b = at[static_cast<std::size_t>(j)];
      if (a == nullptr || b == nullptr) continue;
      const double km = great_circle_km(a->lon_deg, a->lat_deg, b->lon_deg, b->lat_deg);
      if (!std::isnan(km)) near(i, j) = near(j, i) = std::exp(-km / t.distance_km);
    }
  return near;
}

MatrixXd target_covariance(const SpreadTarget& t, const MatrixXd& near) {
  const auto regions = near.rows();
  MatrixXd cov(2 * regions, 2 * regions);
  for (Eigen::Index i = 0; i < regions; ++i)
    for (Eigen::Index j = 0; j < regions; ++j) {
      const double own = i == j ? 1 : 0, common = near(i, j);
      const double cross = std::sqrt(t.yield_common * t.n_common) * common + own * std::sqrt((1 - t.yield_common) * (1 - t.n_common));
      cov(i, j) = t.yield_cv * t.yield_cv * (t.yield_common * common + own * (1 - t.yield_common));
      cov(regions + i, regions + j) = t.n_sigma_pct * t.n_sigma_pct * (t.n_common * common + own * (1 - t.n_common));
      cov(i, regions + j) = cov(regions + j, i) = t.correlation * t.yield_cv * t.n_sigma_pct * cross;
    }
  return cov;
}

// Rows: variants x years; columns: yield factors of the regions, then their mean N.
MatrixXd regional_series(const Season& season, const HarvestForecast& forecast, int regions) {
  const auto region = region_of_contract(season);
  const auto years = static_cast<int>(forecast.years.size()), rows = forecast.variants * years;
  MatrixXd tonnes = MatrixXd::Zero(rows, regions), n_tonnes = MatrixXd::Zero(rows, regions);
  for (const auto& contract : forecast.contracts) {
    const auto c = static_cast<std::size_t>(contract.contract);
    const double ha = season.contracts[c].planted_ha.value_or(1);
    for (int row = 0; row < rows; ++row)
      for (std::size_t k = 0; k < contract.units.size(); ++k) {
        const auto& unit = contract.at(row % years, static_cast<int>(k), row / years);
        const double t = ha * contract.share[k] * unit.yield_t_ha;
        tonnes(row, region[c]) += t;
        n_tonnes(row, region[c]) += t * unit.n_pct;
      }
  }
  MatrixXd series = MatrixXd::Zero(rows, 2 * regions);
  for (int r = 0; r < regions; ++r) {
    const double mean = tonnes.col(r).mean();
    for (int row = 0; row < rows; ++row) {
      series(row, r) = mean > 0 ? tonnes(row, r) / mean : 1;
      series(row, regions + r) = tonnes(row, r) > 0 ? n_tonnes(row, r) / tonnes(row, r) : 0;
    }
  }
  return series;
}

MatrixXd model_covariance(const Season& season, const HarvestForecast& forecast, int regions) {
  if (!forecast.from_weather || forecast.years.size() < 2) return MatrixXd::Zero(2 * regions, 2 * regions);
  MatrixXd series = regional_series(season, forecast, regions);
  series.rowwise() -= series.colwise().mean().eval();
  return series.transpose() * series / static_cast<double>(series.rows() - forecast.variants);
}

// Regions where weather alone varies by 1 point of yield or 0.01 %N more than the target: then no residual can bring it down.
std::vector<std::string> excess_warnings(const Season& season, const ResidualModel& model) {
  std::vector<std::string> out;
  const auto regions = contracted_regions(season);
  for (std::size_t r = 0; r < regions.size(); ++r) {
    const double cv = model.model_sd[r], sigma = model.model_sd[regions.size() + r];
    if (cv > model.target.yield_cv + 0.01)
      out.push_back("region \"" + regions[r] + "\": past weather alone makes its yield vary by " + fmt::format("{:.1f}", 100 * cv) +
                    " % from year to year, more than the " + fmt::format("{:.1f}", 100 * model.target.yield_cv) +
                    " % expected (yield_cv); check the ky_* parameters, its soil and its history");
    if (sigma > model.target.n_sigma_pct + 0.01)
      out.push_back("region \"" + regions[r] + "\": past weather alone makes its mean N vary by " + fmt::format("{:.3f}", sigma) +
                    " %N from year to year, more than the " + fmt::format("{:.3f}", model.target.n_sigma_pct) +
                    " %N expected (n_year_sigma_pct); check dilution_k, the ky_* parameters, its soil and its history");
  }
  return out;
}

MatrixXd with_eigenvalues(const MatrixXd& symmetric, double (*f)(double)) {
  const Eigen::SelfAdjointEigenSolver<MatrixXd> solver(symmetric);
  return solver.eigenvectors() * solver.eigenvalues().unaryExpr(f).asDiagonal() * solver.eigenvectors().transpose();
}

// The even draw of a pair; yield_factor holds the residual itself.
void draw_pair(const ResidualModel& model, unsigned seed, int year, int pair, ResidualDraw& out) {
  const auto regions = static_cast<std::size_t>(model.regions);
  const auto normal = [&](std::size_t place, std::uint32_t index) {
    return normal_draw(seed, DrawPurpose::residual,
                       {static_cast<std::uint32_t>(year), static_cast<std::uint32_t>(pair), static_cast<std::uint32_t>(place), index});
  };
  out.yield_factor.assign(regions, 0);
  out.n_pct.assign(regions, 0);
  const auto& t = model.target;
  if (!model.from_weather) {
    const double rho = t.correlation, rest = std::sqrt(1 - rho * rho);
    const double common_z = normal(0, 0), common_e = normal(0, 1);
    for (std::size_t r = 0; r < regions; ++r) {
      const double z = normal(r + 1, 0), e = normal(r + 1, 1);
      out.yield_factor[r] = t.scale_yield * t.yield_cv * (std::sqrt(t.yield_common) * common_z + std::sqrt(1 - t.yield_common) * z);
      out.n_pct[r] = t.scale_n * t.n_sigma_pct *
                     (std::sqrt(t.n_common) * (rho * common_z + rest * common_e) + std::sqrt(1 - t.n_common) * (rho * z + rest * e));
    }
    return;
  }
  for (std::size_t v = 0; v < 2 * regions; ++v) {
    const double g = normal(v % regions + 1, v < regions ? 0 : 1);
    for (std::size_t r = 0; r < regions; ++r) {
      out.yield_factor[r] += model.root[r * 2 * regions + v] * g;
      out.n_pct[r] += model.root[(regions + r) * 2 * regions + v] * g;
    }
  }
}

}  // namespace

double great_circle_km(double lon_a, double lat_a, double lon_b, double lat_b) {
  const double degree = std::numbers::pi / 180, north = std::sin((lat_b - lat_a) * degree / 2),
               east = std::sin((lon_b - lon_a) * degree / 2);
  const double h = north * north + std::cos(lat_a * degree) * std::cos(lat_b * degree) * east * east;
  return 2 * 6371.0088 * std::asin(std::sqrt(std::min(h, 1.0)));
}

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
  return {p["yield_cv"],
          p["n_year_sigma_pct"],
          p["yield_n_correlation"],
          p["yield_common_share"],
          p["n_common_share"],
          p["residual_floor_yield"],
          p["residual_floor_n_pct"],
          p["residual_distance_km"],
          p["residual_scale_yield"],
          p["residual_scale_n"]};
}

ResidualModel residual_model(const Season& season, const HarvestForecast& forecast) {
  ResidualModel model;
  model.regions = static_cast<int>(contracted_regions(season).size());
  model.from_weather = forecast.from_weather;
  model.target = spread_target(season);
  const int n = 2 * model.regions;
  const MatrixXd of_model = model_covariance(season, forecast, model.regions);
  MatrixXd residual = target_covariance(model.target, nearness(season, forecast, model.target, model.regions)) - of_model;
  if (model.from_weather) {
    residual = with_eigenvalues(residual, [](double e) { return std::max(e, 0.0); });
    for (int i = 0; i < n; ++i) {
      const double floor = i < model.regions ? model.target.floor_yield : model.target.floor_n_pct;
      residual(i, i) = std::max(residual(i, i), floor * floor);
    }
  }
  VectorXd scale(n);
  scale << VectorXd::Constant(model.regions, model.target.scale_yield), VectorXd::Constant(model.regions, model.target.scale_n);
  residual = scale.asDiagonal() * residual * scale.asDiagonal();
  if (model.from_weather) {
    const MatrixXd root = with_eigenvalues(residual, [](double e) { return std::sqrt(std::max(e, 0.0)); });
    for (int i = 0; i < n; ++i)
      for (int j = 0; j < n; ++j) model.root.push_back(root(i, j));
  }
  for (int i = 0; i < n; ++i) {
    model.model_sd.push_back(std::sqrt(of_model(i, i)));
    model.residual_sd.push_back(std::sqrt(residual(i, i)));
  }
  model.warnings = excess_warnings(season, model);
  return model;
}

void draw_residual(const ResidualModel& model, unsigned seed, int year, int draw, ResidualDraw& out) {
  draw_pair(model, seed, year, draw / 2, out);
  const double sign = draw % 2 == 0 ? 1 : -1;
  for (double& factor : out.yield_factor) factor = std::max(1 + sign * factor, 0.0);
  for (double& n : out.n_pct) n *= sign;
}

ResidualYear residual_year(const ResidualModel& model, unsigned seed, int year, int draws) {
  const auto regions = static_cast<std::size_t>(model.regions), count = static_cast<std::size_t>(draws);
  ResidualYear out{{regions, std::vector<double>(count)}, {regions, std::vector<double>(count)}};
  ResidualDraw pair;
  for (std::size_t d = 0; d < count; ++d) {
    if (d % 2 == 0) draw_pair(model, seed, year, static_cast<int>(d / 2), pair);
    const double sign = d % 2 == 0 ? 1 : -1;
    for (std::size_t r = 0; r < regions; ++r) {
      out.yield_factor[r][d] = std::max(1 + sign * pair.yield_factor[r], 0.0);
      out.n_pct[r][d] = sign * pair.n_pct[r];
    }
  }
  return out;
}

}  // namespace rickyard
