#pragma once
// One past season as it stands before it is known: anchors, calibration and residual sizes without it, and its forecast on any date.
#include <optional>
#include <span>
#include <vector>

#include "planner/quality/forecast_harvest.h"
#include "planner/supply/residual.h"

namespace rickyard {

/// What every past season shares: the crop of all of them, grown once.
struct HindcastWorld {
  Season season;                               // of hindcast_season
  const Land* land = nullptr;                  // null with model = formulas; must outlive this
  std::span<const WeatherArchive> archives{};  // one for each draw of daily rain
  std::vector<BaseHarvest> bases{};            // [archive]; empty with formulas
  CropKernel kernel = CropKernel::fast;
  Cache* water = nullptr;          // a WaterStore that the bases were grown with and that keeps no records any more; may be null
  std::string land_and_weather{};  // as in Growing, with a `water`
};

/// How draw i of the daily rain is grown, from how the first one is.
Growing growing_of_draw(Growing growing, std::size_t i, std::size_t draws, unsigned seed);

/// The season as given without what belongs to the season in hand alone: its outlook and known sowing dates. Backups are left out.
Season hindcast_season(const Season& given);

struct PastSeason {
  int year = 0;
  Season season;                       // in force without the year: calibrated on the other seasons' deliveries; its crop year is `year`
  std::vector<BaseHarvest> bases;      // [archive], the year left out, on anchors in force
  HarvestForecast others;              // the other years, nothing known of this one
  std::optional<HarvestForecast> own;  // the year itself as the model grows it; empty with formulas
  ResidualModel law;                   // of the other years
};

/// year: one of the world's harvest years; any year with formulas. The archive must hold another one besides (std::invalid_argument).
PastSeason past_season(const HindcastWorld& world, int year);

/// The forecast as on a date: the season's weather and sowing dates so far in front of every other year's remainder. sown: [contract] the
/// date the row was sown, where known; dates after as_of do not count.
HarvestForecast forecast_on(const HindcastWorld& world, const PastSeason& past, const Date& as_of,
                            const std::vector<std::optional<Date>>& sown);

/// The day of the season of `year` with this month and day.
Date date_in_season(const Season& season, int year, const MonthDay& day);

}  // namespace rickyard
