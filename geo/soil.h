#pragma once
// Soil pixels inside weather cells: classes by water limits and drainage, shares by cell; crop mask and elevation likewise.
#include <functional>
#include <string>
#include <vector>

#include "geo/raster_stack.h"
#include "geo/weather.h"
#include "planner/season/land.h"

namespace rickyard {

struct ClassShare {
  int soil = 0;      // index into SoilReading::classes
  double share = 0;  // of the cell's valid soil pixels
};

struct CellSoil {
  std::vector<ClassShare> classes;  // ascending class
  double valid_share = 0;           // soil pixels with values / all soil pixels of the cell
  double crop_share = 1;            // mean of the crop mask over its valid pixels
  double elevation_m = 0;
};

/// Whether crops can grow in the cell, weather permitting.
inline bool holds_land(const CellSoil& cell) { return !cell.classes.empty() && cell.crop_share > 0; }

struct SoilReading {
  std::vector<SoilClass> classes;
  std::vector<CellSoil> cells;  // [cell]
};

/// Soil of each cell. A pixel belongs to the weather cell that holds its centre; a cell that holds no centre takes the
/// pixel that holds the cell's centre. Pixels are grouped by available water rounded to 10 mm/m, hydrologic group and
/// (with a root_depth raster) rooting depth rounded to 0.1 m; a class takes the mean limits of its pixels.
SoilReading read_soil(const Season& season, const GridDefinition& grid, const CellList& cells, Progress& progress, InputLog& log);

/// Checks the soil part of a season whose weather cannot be opened: opens what is named, logs what is wrong.
void check_soil(const Season& season, InputLog& log);

/// The soil of [soil] in season.toml. Throws std::domain_error as saxton_rawls does.
SoilClass uniform_soil(const UniformSoil& soil);

/// Water limits of a drainage class (0..3 = groups A..D) with a given available water (mm/m), where no texture is known
/// (judgement; METHODS.md, "Soils without texture"). False where they make no soil.
bool limits_of_drainage(int group, double available_mm_m, SoilClass& out);

// --- soil_layers.cpp: one raster of pixels against the weather cells -----------------------------------------------

/// One pixel whose centre lies in a kept cell: the position of the cell and the value of each layer (NaN: missing).
struct Pixel {
  int cell = 0;
  int row = 0, column = 0;         // in the pixel grid; may lie outside it, with every value missing
  const double* values = nullptr;  // [layer]
};

/// Calls take for every pixel of the layers' common grid that belongs to a cell; the layers share one grid. Throws ReadFailure.
void each_pixel(const std::vector<const RasterStack*>& layers, const GridDefinition& grid, const CellList& cells, Progress& progress,
                const std::function<void(const Pixel&)>& take);

}  // namespace rickyard
