#pragma once
// Maps of a finished plan: regions as a GeoPackage, the weather grid as a cloud-optimised GeoTIFF. Nothing is computed here.
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "geo/grid.h"
#include "planner/base/calendar.h"
#include "planner/season/land.h"

namespace rickyard {

/// One attribute of the regions, e.g. "qualifying_t_p50". values: one per Land region; NaN is written as no value.
struct RegionColumn {
  std::string name;
  std::vector<double> values;
};

/// Layer "regions" in EPSG:4326: outlines of the land with region, name, area_ha and the columns given. The same arguments
/// give the same bytes (the file's dates are as_of). Replaces an existing file. Throws OutputError with GDAL's words.
void write_regions_gpkg(const std::filesystem::path& path, const Land& land, const std::vector<RegionColumn>& columns, const Date& as_of);

/// One band of 32-bit floats on the weather grid, -9999 where there is no land. value_per_cell: one per grid.cell_index; NaN: no value.
/// unit: of the values, e.g. "t/ha"; description: of the band. The same arguments give the same bytes. Throws OutputError.
void write_cells_cog(const std::filesystem::path& path, const GridDefinition& grid, std::span<const double> value_per_cell,
                     const std::string& description, const std::string& unit = "t/ha");

}  // namespace rickyard
