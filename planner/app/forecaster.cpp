#include "planner/app/forecaster.h"

#include <fmt/format.h>

#include "planner/quality/forecast_by_formulas.h"
#include "planner/quality/season_in_hand.h"
#include "planner/quality/usual_harvest.h"
#include "planner/quality/variants.h"
#include "planner/weather/disaggregate.h"

namespace rickyard {

Forecaster::Forecaster(const Season& given, std::shared_ptr<const GeoReading> geography, const Growing& growing)
    : given_(given), geography_(std::move(geography)), growing_(growing) {}

std::vector<WeatherArchive> drawn_archives(const Season& season, const GeoReading& geography) {
  std::vector<WeatherArchive> out;
  if (geography.daily) return out;
  const int draws = static_cast<int>(season.parameters["monthly_draws"]);
  for (int draw = 0; draw < draws; ++draw) out.push_back(disaggregate(*geography.monthly, geography.land, season, draw));
  return out;
}

Growing Forecaster::with(Progress& progress, std::size_t draw) const {
  Growing out = growing_;
  out.progress = &progress;
  out.draw = static_cast<int>(draw);
  // Drawn weather depends on the seed and on how it is drawn, too; the law's parameters are among those of the weather.
  if (!drawn_.empty() && out.cache) out.land_and_weather += fmt::format("draw {} of {}, seed {}\n", draw, drawn_.size(), given_.seed);
  return out;
}

// One base crop for each draw of daily rain, all with the same thermal factors.
void Forecaster::grow(Progress& progress) {
  const Land& land = geography_->land;
  drawn_ = drawn_archives(given_, *geography_);
  archives_ = geography_->daily ? std::span<const WeatherArchive>{&*geography_->daily, 1} : std::span<const WeatherArchive>(drawn_);
  std::vector<std::vector<double>> factors;
  for (std::size_t i = 0; i < archives_.size(); ++i)
    factors.push_back(usual_harvest_factors(given_, land, archives_[i], with(progress, i)));
  const auto shared = mean_harvest_factors(factors);
  for (std::size_t i = 0; i < archives_.size(); ++i) bases_.push_back(grow_base(given_, land, archives_[i], shared, with(progress, i)));
  if (bases_.size() > 1) share_anchors(given_, land, bases_);  // one base has its own already
}

void Forecaster::prepare(Progress& progress) {
  if (calibration_) return;
  progress.stage("growing the crop in every weather year");
  if (given_.model == ForecastModel::daily) grow(progress);
  calibration_ = calibrate(given_, forecast(given_, {}, Knowledge::none, progress));
  if (calibration_->used && !bases_.empty()) share_anchors(season(), geography_->land, bases_);
}

std::optional<Date> Forecaster::weather_known_through() const {
  if (archives_.empty()) return std::nullopt;
  const auto known = known_weather(given_, archives_.front());
  return known ? std::optional(known->through) : std::nullopt;
}

bool Forecaster::knows_season_in_hand() const {
  return !archives_.empty() && (weather_known_through().has_value() || any_sowing_known(given_));
}

HarvestForecast Forecaster::forecast(const Season& season, const SeasonPatch& patch, Knowledge knowledge, Progress& progress) const {
  if (season.model == ForecastModel::formulas) return forecast_by_formulas(season, patch);
  std::vector<HarvestForecast> parts;
  for (std::size_t i = 0; i < archives_.size(); ++i)
    parts.push_back(forecast_harvest(season, patch, geography_->land, archives_[i], bases_[i], with(progress, i), knowledge));
  return merge_variants(parts);
}

HarvestForecast Forecaster::forecast(const SeasonPatch& patch, Knowledge knowledge, Progress& progress) const {
  return forecast(season(), patch, knowledge, progress);
}

}  // namespace rickyard
