#pragma once
// Sowing advice for regions or a point: what this room is for.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "planner/quality/forecast_harvest.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/sowing/sowing_advice.h"
#include "planner/weather/archive.h"

namespace rickyard {

struct SowingRequest {
  std::vector<std::string> regions;         // ids; empty and no point: every region with a contract row, in table order
  std::optional<std::array<double, 2>> at;  // lon, lat in degrees, WGS84: the weather cell there
};

/// One block for each region of the request, the point last; METHODS.md, "Sowing". base: of the same season, land and archive. A region
/// speaks with the figures of its first contract row. All regions share one run of the crop. The same bits for any number of
/// threads. InputError for a region without contract rows, and for a point outside contracted land (the nearest is named).
std::vector<SowingAdvice> sowing_advice(const Season& season, const SowingRequest& request, const Land& land, const WeatherArchive& archive,
                                        const BaseHarvest& base, const Growing& growing);

/// model = "formulas": curves by the closed formulas of the trade, no workable days. A point is an InputError.
std::vector<SowingAdvice> sowing_advice_by_formulas(const Season& season, const SowingRequest& request);

}  // namespace rickyard
