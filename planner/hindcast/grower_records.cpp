#include "planner/hindcast/grower_records.h"

#include <algorithm>
#include <cmath>

#include "planner/base/draws.h"

namespace rickyard {

FarmLaw farm_law(const Season& season) {
  const double farm = season.parameters["farm_yield_cv"], region = season.parameters["yield_cv"];
  return {std::max(farm * farm - region * region, 0.0), season.parameters["farm_yield_level_share"]};
}

FarmFactor farm_factor(const FarmLaw& law, const std::vector<double>& deviations) {
  // Level of the farm ~ N(-s v/2, s v), a season's own ~ N(-(1 - s) v/2, (1 - s) v): the factor has mean 1 over farms and seasons.
  const double level_var = law.level_share * law.variance, season_var = law.variance - level_var;
  const auto n = static_cast<double>(deviations.size());
  double sum = 0;
  for (double d : deviations) sum += d + 0.5 * season_var;
  const double weight = n > 0 ? n * law.level_share / (n * law.level_share + 1 - law.level_share) : 0;
  const double level = (1 - weight) * -0.5 * level_var + (n > 0 ? weight * sum / n : 0);
  return {level - 0.5 * season_var, std::sqrt((1 - weight) * level_var + season_var)};
}

std::map<int, double> farm_deviations(const ObservedGrower& grower, const std::map<int, double>& region_yield) {
  std::map<int, double> out;
  for (const auto& [year, season] : grower.seasons)
    if (const auto at = region_yield.find(year); at != region_yield.end() && at->second > 0 && season.delivered_t > 0)
      out.emplace(year, std::log(season.delivered_t / season.level_ha / at->second));
  return out;
}

std::vector<double> grower_members(const std::vector<double>& region_t_per_ha, const std::vector<int>& weather_years, int draws,
                                   double level_ha, const FarmFactor& factor, unsigned seed, unsigned place) {
  std::vector<double> out;
  for (std::size_t y = 0; y < weather_years.size(); ++y)
    for (int d = 0; d < draws; ++d) {
      const double z =
          normal_draw(seed, DrawPurpose::residual, {static_cast<std::uint32_t>(weather_years[y]), static_cast<std::uint32_t>(d), place, 0});
      out.push_back(level_ha * region_t_per_ha[y * static_cast<std::size_t>(draws) + static_cast<std::size_t>(d)] *
                    std::exp(factor.mean_ln + factor.sd_ln * z));
    }
  return out;
}

}  // namespace rickyard
