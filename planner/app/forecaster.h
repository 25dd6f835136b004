#pragma once
// The forecast stage of a session: archives, base crops, anchors and calibration, made once; then a forecast for any patch.
#include <memory>
#include <optional>
#include <vector>

#include "geo/read_geography.h"
#include "planner/base/progress.h"
#include "planner/calibration/calibrate.h"
#include "planner/quality/forecast_harvest.h"

namespace rickyard {

/// Daily archives drawn from a monthly one, one for each of monthly_draws; empty where the archive is daily.
std::vector<WeatherArchive> drawn_archives(const Season& season, const GeoReading& geography);

class Forecaster {
 public:
  /// given: the season as the user gave it, defaults filled; must outlive this. geography: null with model = formulas; shared.
  Forecaster(const Season& given, std::shared_ptr<const GeoReading> geography, const Growing& growing);

  /// Grows the base crops, learns from deliveries and anchors; the slow part. Call once, before everything below.
  void prepare(Progress& progress);

  /// The season in force: contract rows and parameters calibrated by deliveries where there are any.
  const Season& season() const { return calibration_->season; }
  const Calibration& calibration() const { return *calibration_; }
  /// Of the first draw of daily rain where the archive is monthly. model = daily only.
  const BaseHarvest& base() const { return bases_.front(); }
  const WeatherArchive& archive() const { return archives_.front(); }

  /// Last day of the season in hand whose weather is known; empty where none of it is.
  std::optional<Date> weather_known_through() const;
  /// Whether the forecast differs from that of past seasons alone: weather of the season in hand or sowing dates are known.
  bool knows_season_in_hand() const;

  HarvestForecast forecast(const SeasonPatch& patch, Knowledge knowledge, Progress& progress) const;

 private:
  void grow(Progress& progress);
  HarvestForecast forecast(const Season& season, const SeasonPatch& patch, Knowledge knowledge, Progress& progress) const;

  const Season& given_;
  std::shared_ptr<const GeoReading> geography_;
  Growing growing_;
  /// For one draw of daily rain.
  Growing with(Progress& progress, std::size_t draw) const;
  std::vector<WeatherArchive> drawn_;         // of a monthly archive, one a draw; else empty
  std::span<const WeatherArchive> archives_;  // the drawn ones, or the daily archive of the geography
  std::vector<BaseHarvest> bases_;            // [archive]; empty with formulas
  std::optional<Calibration> calibration_;
};

}  // namespace rickyard
