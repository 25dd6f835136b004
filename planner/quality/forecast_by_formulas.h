#pragma once
// model = "formulas": the forecast without rasters, from the tables and the closed formulas of the trade.
#include "planner/quality/harvest_forecast.h"
#include "planner/season/season.h"

namespace rickyard {

/// formula_years equal years 1..n; every year holds the mean harvest of each row, and supply draws the spread. No weather:
/// rain factors and temperature shifts of a patch change nothing; a sowing shift moves yield and N along the sowing curve.
/// One unit of index -1 a row. InputError as in contract_terms.h.
HarvestForecast forecast_by_formulas(const Season& season, const SeasonPatch& patch);

}  // namespace rickyard
