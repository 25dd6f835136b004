#pragma once
// Land, weather and a season for timing the crop: cells of the invented archipelago with its weather.
#include <string>
#include <vector>

#include "planner/crop/crop_record.h"
#include "planner/season/land.h"
#include "planner/season/season.h"
#include "planner/weather/archive.h"

namespace rickyard::bench {

struct CropCase {
  Land land;  // a land unit a cell
  WeatherArchive archive;
  Season season;
  int harvest_years = 0;
};
/// About so many cells; the archive holds the last `harvest_years` seasons to 2026.
CropCase make_crop_case(int cells, int harvest_years);

/// Planned dates three days apart from 15 March, each on every unit.
std::vector<CropRun> planned_runs(const CropCase& made, int dates);

/// Days of one (unit, year, planned date) until ripeness or inside the harvest window after it: what a kernel has to compute.
double useful_lane_days(const CropCase& made, const CropRecords& records);

/// For crop_numpy.py: case.txt, rain.i4, tmin.i4, tmax.i4, cells.f8. Throws std::runtime_error.
void write_case(const CropCase& made, const std::string& folder);

}  // namespace rickyard::bench
