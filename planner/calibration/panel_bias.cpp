#include "planner/calibration/panel_bias.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <set>

namespace rickyard {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double kFewWeight = 10;   // n / (n + 10)
constexpr double kOwnErrors = 1;    // a region stays within this many of its own standard errors of its own figure
constexpr double kLeastVar = 1e-8;  // of what is left

// Deviations with regions and years numbered from 0 among those that have any.
struct Panel {
  std::vector<int> regions, years;  // their numbers in the caller's terms, ascending
  std::vector<int> region, year;    // [deviation]
  VectorXd value;
  Eigen::Index n() const { return value.size(); }
};

Panel make_panel(const std::vector<Deviation>& deviations) {
  Panel panel;
  std::set<int> regions, years;
  for (const auto& one : deviations) {
    regions.insert(one.region);
    years.insert(one.crop_year);
  }
  panel.regions.assign(regions.begin(), regions.end());
  panel.years.assign(years.begin(), years.end());
  const auto place = [](const std::vector<int>& all, int one) {
    return static_cast<int>(std::lower_bound(all.begin(), all.end(), one) - all.begin());
  };
  panel.value.resize(static_cast<Eigen::Index>(deviations.size()));
  for (std::size_t k = 0; k < deviations.size(); ++k) {
    panel.region.push_back(place(panel.regions, deviations[k].region));
    panel.year.push_back(place(panel.years, deviations[k].crop_year));
    panel.value(static_cast<Eigen::Index>(k)) = deviations[k].value;
  }
  return panel;
}

// Columns: one for each region, and with a trend the crop year less the last one.
MatrixXd design(const Panel& panel, bool trend) {
  const auto regions = static_cast<Eigen::Index>(panel.regions.size());
  MatrixXd x = MatrixXd::Zero(panel.n(), regions + (trend ? 1 : 0));
  for (Eigen::Index k = 0; k < panel.n(); ++k) {
    const auto at = static_cast<std::size_t>(k);
    x(k, panel.region[at]) = 1;
    if (trend) x(k, regions) = panel.years[static_cast<std::size_t>(panel.year[at])] - panel.years.back();
  }
  return x;
}

struct Components {
  double year_var = 0, rest_var = 0, year_df = 0, rest_df = 0;
  bool told_apart = false;
};

// MINQUE(0): two quadratic forms of the least-squares residuals set equal to their expectations.
Components data_components(const Panel& panel, const MatrixXd& x, const VectorXd& noise) {
  const auto years = static_cast<Eigen::Index>(panel.years.size());
  MatrixXd z = MatrixXd::Zero(panel.n(), years);
  for (Eigen::Index k = 0; k < panel.n(); ++k) z(k, panel.year[static_cast<std::size_t>(k)]) = 1;
  const MatrixXd xx = x.transpose() * x;
  const Eigen::LDLT<MatrixXd> solver(xx);
  const VectorXd residual = panel.value - x * solver.solve(x.transpose() * panel.value);
  const MatrixXd zx = z.transpose() * x;
  const MatrixXd b = z.transpose() * z - zx * solver.solve(zx.transpose());  // Z'MZ
  const double free = static_cast<double>(panel.n() - x.cols());
  Components out;
  if (free < 0.5) return out;
  const double q_year = (z.transpose() * residual).squaredNorm() - (b * noise.asDiagonal() * b).trace();
  const double q_all = residual.squaredNorm() - b.diagonal().dot(noise);
  const double bb = b.squaredNorm(), b1 = b.trace();
  const double determinant = bb * free - b1 * b1;
  const double more = static_cast<double>(x.cols()) - static_cast<double>(panel.regions.size());  // 1 with a trend
  out.year_df = std::max(static_cast<double>(years) - 1 - more, 0.0);
  out.rest_df = std::max(free - out.year_df, 0.0);
  out.told_apart = determinant > 1e-9 * bb * free && out.year_df > 0 && out.rest_df > 0;
  if (out.told_apart) {
    out.year_var = (q_year * free - q_all * b1) / determinant;
    out.rest_var = (bb * q_all - b1 * q_year) / determinant;
    if (out.year_var > 0 && out.rest_var > 0) return out;
  }
  if (out.told_apart && out.rest_var <= 0) {
    out.year_var = std::max(q_year / bb, 0.0);
    out.rest_var = 0;
    return out;
  }
  out.year_var = 0;
  out.rest_var = std::max(q_all / free, 0.0);
  return out;
}

// The defaults count as so many degrees of freedom beside the data's. Where years and regions cannot be told apart, their sum is
// found, and divided as the defaults are.
void shrink_components(PanelBias& out, const Components& data, const PanelSettings& s) {
  const double total = s.default_year_var + s.default_rest_var, w = s.default_weight;
  out.data_year_var = data.year_var;
  out.data_rest_var = data.rest_var;
  out.year_df = data.year_df;
  out.rest_df = data.rest_df;
  if (data.told_apart) {
    out.year_var = (w * s.default_year_var + data.year_df * data.year_var) / (w + data.year_df);
    out.rest_var = (w * s.default_rest_var + data.rest_df * data.rest_var) / (w + data.rest_df);
  } else {
    const double df = data.year_df + data.rest_df, share = total > 0 ? s.default_year_var / total : 0;
    const double all = (w * total + df * data.rest_var) / (w + df);
    out.year_df = out.rest_df = df;
    out.data_year_var = share * data.rest_var;
    out.data_rest_var = (1 - share) * data.rest_var;
    out.year_var = share * all;
    out.rest_var = (1 - share) * all;
  }
  out.rest_var = std::max(out.rest_var, kLeastVar);
}

struct Fit {
  VectorXd own;         // [region among those with any]
  MatrixXd covariance;  // of own
  MatrixXd precision;   // its inverse
  double slope = 0, slope_se = 0;
};

// Generalised least squares; the regions of one season share its error, so the precision of a season is (I - g 11')/rest_var.
Fit least_squares(const Panel& panel, const MatrixXd& x, const VectorXd& noise, double year_var, double rest_var) {
  const auto p = x.cols();
  MatrixXd xvx = x.transpose() * x;
  VectorXd xvy = x.transpose() * panel.value;
  for (Eigen::Index y = 0; y < static_cast<Eigen::Index>(panel.years.size()); ++y) {
    VectorXd sum = VectorXd::Zero(p);
    double value = 0, n = 0;
    for (Eigen::Index k = 0; k < panel.n(); ++k)
      if (panel.year[static_cast<std::size_t>(k)] == y) {
        sum += x.row(k).transpose();
        value += panel.value(k);
        n += 1;
      }
    const double shared = year_var + noise(y), g = shared / (rest_var + n * shared);
    xvx -= g * sum * sum.transpose();
    xvy -= g * value * sum;
  }
  const MatrixXd covariance = (xvx / rest_var).inverse();
  const VectorXd estimate = covariance * xvy / rest_var;
  const auto regions = static_cast<Eigen::Index>(panel.regions.size());
  Fit fit{estimate.head(regions), covariance.topLeftCorner(regions, regions), {}, 0, 0};
  fit.precision = fit.covariance.inverse();
  if (p > regions) {
    fit.slope = estimate(regions);
    fit.slope_se = std::sqrt(covariance(regions, regions));
  }
  return fit;
}

VectorXd noise_of(const Panel& panel, const PanelSettings& s) {
  VectorXd noise = VectorXd::Zero(static_cast<Eigen::Index>(panel.years.size()));
  for (std::size_t y = 0; y < panel.years.size(); ++y)
    if (const auto found = s.year_noise_var.find(panel.years[y]); found != s.year_noise_var.end())
      noise(static_cast<Eigen::Index>(y)) = found->second;
  return noise;
}

Fit fitted(const Panel& panel, const PanelSettings& s, bool trend, PanelBias& out) {
  const MatrixXd x = design(panel, trend);
  const VectorXd noise = noise_of(panel, s);
  shrink_components(out, data_components(panel, x, noise), s);
  return least_squares(panel, x, noise, out.year_var, out.rest_var);
}

// A trend can be sought where some region was seen over years enough.
bool may_have_trend(const Panel& panel, const PanelSettings& s) {
  if (!s.find_trend || static_cast<int>(panel.years.size()) < kTrendSeasons) return false;
  const MatrixXd x = design(panel, true);
  return Eigen::FullPivLU<MatrixXd>(x.transpose() * x).rank() == x.cols() && panel.n() > x.cols();
}

// Weights of the regions' own figures in every region's bias (rows), and in the common bias (last row).
MatrixXd shrink_weights(const PanelBias& found, const Panel& panel, const Fit& fit, double prior_var) {
  const auto n = fit.own.size();
  const double between = found.between_var;
  MatrixXd raised = fit.covariance;
  for (Eigen::Index i = 0; i < n; ++i) {
    const double seasons = found.regions[static_cast<std::size_t>(panel.regions[static_cast<std::size_t>(i)])].seasons;
    if (seasons < kFewSeasons) raised(i, i) = std::max(raised(i, i), kFewWeight * (between + prior_var) / seasons);
  }
  if (found.seasons < kFewSeasons) raised.array() += kFewWeight * prior_var / found.seasons;
  MatrixXd prior = MatrixXd::Constant(n, n, prior_var);
  prior.diagonal().array() += between;
  MatrixXd weights(n + 1, n);
  const MatrixXd inverse = (prior + raised).inverse();
  weights.topRows(n) = prior * inverse;
  weights.row(n) = prior_var * inverse.colwise().sum();
  return weights;
}

// Limited translation (Efron & Morris 1972): a region with seasons enough stays near its own figure.
void limit_translation(const PanelBias& found, const Panel& panel, const Fit& fit, MatrixXd& weights) {
  for (Eigen::Index i = 0; i < fit.own.size(); ++i) {
    if (found.regions[static_cast<std::size_t>(panel.regions[static_cast<std::size_t>(i)])].seasons < kFewSeasons) continue;
    const double away = std::abs(weights.row(i).dot(fit.own) - fit.own(i)), most = kOwnErrors * std::sqrt(fit.covariance(i, i));
    if (away <= most) continue;
    weights.row(i) *= most / away;
    weights(i, i) += 1 - most / away;
  }
}

}  // namespace

BetweenVariance between_variance(const std::vector<double>& estimates, const std::vector<double>& precision) {
  const auto n = static_cast<Eigen::Index>(estimates.size());
  if (n < 2) return {};
  const VectorXd own = Eigen::Map<const VectorXd>(estimates.data(), n);
  const MatrixXd a = Eigen::Map<const MatrixXd>(precision.data(), n, n);
  const VectorXd a1 = a.rowwise().sum();
  const double all = a1.sum(), mean = a1.dot(own) / all;
  const VectorXd rest = own.array() - mean;
  const double q = rest.dot(a * rest), free = static_cast<double>(n - 1);
  const double scale = a.trace() - a1.squaredNorm() / all;
  return {std::max((q - free) / scale, 0.0), std::sqrt(2 * free) / scale};
}

PanelBias panel_bias(const std::vector<Deviation>& deviations, const PanelSettings& settings) {
  PanelBias out;
  out.regions.resize(static_cast<std::size_t>(settings.regions));
  const double prior_var = settings.common_prior * settings.common_prior;
  const Panel panel = make_panel(deviations);
  out.seasons = static_cast<int>(panel.years.size());
  BetweenVariance between;
  Fit fit;
  if (panel.n() > 0) {
    for (const auto& one : deviations) out.regions[static_cast<std::size_t>(one.region)].seasons += 1;
    if (may_have_trend(panel, settings)) {
      fit = fitted(panel, settings, true, out);
      out.slope = fit.slope;
      out.slope_se = fit.slope_se;
      out.slope_used = std::abs(fit.slope) > 2 * fit.slope_se;
    }
    if (!out.slope_used) fit = fitted(panel, settings, false, out);
    const std::vector<double> own(fit.own.begin(), fit.own.end());
    between = between_variance(own, {fit.precision.data(), fit.precision.data() + fit.precision.size()});
    out.data_between_var = between.value;
  }
  // As with the other variances the default counts as so many degrees of freedom, so that a few regions that happen to agree are not
  // taken for alike.
  const double between_df = std::max(static_cast<double>(panel.regions.size()) - 1, 0.0), whole = settings.default_weight + between_df;
  between.value = (settings.default_weight * settings.between_prior * settings.between_prior + between_df * between.value) / whole;
  between.se *= between_df / whole;
  out.between_var = between.value;
  // The error of weights w of a figure that is the common bias plus own times a region's own: the prior with the variance between
  // regions one standard error higher, for that variance is itself uncertain.
  const double uncertain_between = between.value + between.se;
  const auto n = panel.n() > 0 ? fit.own.size() : 0;
  MatrixXd weights = MatrixXd::Zero(1, 0);
  if (n > 0) {
    weights = shrink_weights(out, panel, fit, prior_var);
    limit_translation(out, panel, fit, weights);
  }
  const auto describe = [&](Eigen::Index row, Eigen::Index self, double own_between, double& bias, double& se, double& moved_by) {
    const VectorXd w = weights.row(row).transpose();
    const double moved = w.sum();
    bias = n > 0 ? w.dot(fit.own) : 0;
    moved_by = std::clamp(moved, 0.0, 1.0);
    double var = prior_var * (1 - moved) * (1 - moved) + uncertain_between * (w.squaredNorm() + own_between);
    if (self >= 0) var -= 2 * uncertain_between * w(self);
    if (n > 0) var += w.dot(fit.covariance * w);
    se = std::sqrt(std::max(var, 0.0));
  };
  describe(n, -1, 0, out.common, out.common_se, out.common_moved_by);
  for (std::size_t r = 0; r < out.regions.size(); ++r) {
    auto& region = out.regions[r];
    const auto found = std::lower_bound(panel.regions.begin(), panel.regions.end(), static_cast<int>(r));
    const bool seen = found != panel.regions.end() && *found == static_cast<int>(r);
    const auto place = seen ? static_cast<Eigen::Index>(found - panel.regions.begin()) : -1;
    if (seen) {
      region.own = fit.own(place);
      region.own_se = std::sqrt(fit.covariance(place, place));
    }
    describe(seen ? place : n, place, 1, region.bias, region.se, region.moved_by);
  }
  return out;
}

}  // namespace rickyard
