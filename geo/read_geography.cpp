#include "geo/read_geography.h"

#include <fmt/format.h>

#include "geo/ellipsoid.h"
#include "geo/gdal_words.h"
#include "geo/land_units.h"
#include "geo/outline.h"
#include "geo/regions.h"
#include "geo/soil.h"
#include "geo/weather.h"

namespace rickyard {
namespace {

double valid_min_share(const Season& season) {
  return season.parameters.known("valid_area_min_share") ? season.parameters["valid_area_min_share"] : kValidAreaMinShare;
}

// A way from the layer's system; logged where there is none, or only a rough one.
std::optional<Transform> way_from(const RegionLayer& layer, const std::string& to_wkt, InputLog& log) {
  try {
    Transform transform(layer.crs_wkt, to_wkt, box_of(layer));
    if (transform.ballpark())
      log.warning(layer.shown, crs_name(layer.crs_wkt),
                  "the shift from this system to " + crs_name(to_wkt) + " is not known and taken as none",
                  "places may be off by a few hundred metres; give the regions in another reference system");
    return transform;
  } catch (const std::runtime_error& error) {
    log.error(layer.shown, crs_name(layer.crs_wkt),
              std::string("the regions cannot be brought to ") + crs_name(to_wkt) + ": " + error.what(),
              "give them in another reference system");
    return std::nullopt;
  }
}

// Regions with area and outline; on the grid where there is one.
std::vector<RegionOnGrid> place_regions(const RegionLayer& layer, const GridDefinition* grid, Progress& progress, InputLog& log) {
  std::vector<RegionOnGrid> out;
  const auto to_lonlat = way_from(layer, wgs84_wkt(), log);
  const bool same = grid == nullptr || same_crs(grid->crs_wkt, wgs84_wkt());
  const auto to_grid = same ? std::nullopt : way_from(layer, grid->crs_wkt, log);
  if (!to_lonlat || (!same && !to_grid)) return out;
  report_overlaps(layer, *to_lonlat, log);
  const double degree_tolerance = bend_tolerance(wgs84_wkt()), grid_tolerance = same ? 0 : bend_tolerance(grid->crs_wkt);
  for (std::size_t i = 0; i < layer.regions.size(); ++i) {
    const RegionShape& shape = layer.regions[i];
    const auto lonlat = bend(shape.shape, *to_lonlat, degree_tolerance);
    const auto bent = to_grid ? bend(shape.shape, *to_grid, grid_tolerance) : lonlat;
    if (!lonlat || !bent) {
      log.error(fmt::format("{}: region \"{}\"", layer.shown, shape.id), "",
                "part of its outline has no place in the reference system of the weather rasters",
                "check the outline and its reference system");
      continue;
    }
    Region region;
    region.id = shape.id;
    region.name = shape.name;
    region.area_ha = lonlat_area_m2(*lonlat) / kSquareMetresPerHectare;
    region.outline_geojson = outline_geojson(*lonlat);
    out.push_back(grid != nullptr ? place_region(std::move(region), *bent, *grid) : RegionOnGrid{std::move(region), {}, 0});
    progress.step(static_cast<long long>(i) + 1, static_cast<long long>(layer.regions.size()));
  }
  return out;
}

// Repairs and partial cover travel with the land, so that every later report can say them.
Findings warnings_of(const std::vector<Problem>& problems) {
  Findings out;
  for (const auto& problem : problems)
    if (problem.severity == Severity::warning) {
      Finding finding{Severity::warning, {"geography", -1, problem.place}, problem.value, problem.message, problem.remedy};
      out.push_back(std::move(finding));
    }
  return out;
}

void read_all(const Season& season, Progress& progress, InputLog& log, GeoReading& out) {
  progress.stage("reading regions");
  const bool rasters = !season.rasters.empty();
  std::optional<RegionLayer> layer;
  if (!season.regions.path.empty() || rasters) layer = read_region_layer(season.regions, log);
  WeatherStacks stacks;
  if (rasters) stacks = open_weather(season, log);
  const RasterStack* leader = stacks.leader();
  if (leader != nullptr) out.grid = leader->grid();
  progress.stage("placing regions on the weather grid");
  const auto regions = layer ? place_regions(*layer, leader == nullptr ? nullptr : &out.grid, progress, log) : std::vector<RegionOnGrid>{};
  const CellList cells = leader == nullptr ? CellList{} : cells_of(regions, out.grid);
  if (cells.empty()) {
    if (rasters) check_soil(season, log);
    for (const auto& region : regions) {
      if (leader != nullptr)
        log.error(layer->shown + ": region \"" + region.region.id + "\"", "", "lies outside the weather rasters",
                  "give rasters that cover it, or take the region out");
      out.land.regions.push_back(region.region);
    }
    return;
  }
  progress.stage("reading weather");
  WeatherReading weather = read_weather(stacks, cells, progress, log);
  progress.stage("reading soils");
  const SoilReading soil = read_soil(season, out.grid, cells, progress, log);
  // Where reading failed the shares of valid land say nothing new.
  InputLog shares{std::filesystem::path()};
  LandResult result =
      build_land(regions, out.grid, cells, soil, weather.complete, valid_min_share(season), layer->shown, log.has_errors() ? shares : log);
  keep_cells(weather, result.kept);
  out.land = std::move(result.land);
  for (int position : result.kept) out.grid.cell_index.push_back(cells[static_cast<std::size_t>(position)]);
  out.daily = std::move(weather.daily);
  out.monthly = std::move(weather.monthly);
}

}  // namespace

GeoReading read_geography(const Season& season, const std::filesystem::path& folder, Progress& progress) {
  prepare_gdal();
  InputLog log(folder);
  GeoReading out;
  const GdalWords quiet;
  read_all(season, progress, log, out);
  out.land.warnings = warnings_of(log.problems);
  out.problems = std::move(log.problems);
  out.files = std::move(log.files);
  out.declared = std::move(log.declarations);
  return out;
}

}  // namespace rickyard
