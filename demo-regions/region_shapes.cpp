#include "demo-regions/region_shapes.h"

#include <gdal_alg.h>
#include <gdal_priv.h>
#include <ogr_geometry.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdlib>
#include <map>
#include <memory>
#include <numbers>
#include <stdexcept>

#include "demo-regions/random_numbers.h"
#include "demo-regions/raster_files.h"

namespace rickyard::demo {
namespace {

using Shape = std::unique_ptr<OGRGeometry>;

Shape checked(OGRGeometry* geometry, const char* what) {
  if (geometry == nullptr || geometry->IsEmpty()) throw std::runtime_error(std::string("demo regions: empty outline after ") + what);
  return Shape(geometry);
}
Shape inside(const Shape& a, const Shape& b) { return checked(a->Intersection(b.get()), "cutting"); }
Shape without(const Shape& a, const Shape& b) { return checked(a->Difference(b.get()), "taking a part out"); }
Shape with(const Shape& a, const Shape& b) { return checked(a->Union(b.get()), "adding a part"); }

/// A closed wiggly outline about an ellipse. `roughness` is the share by which the radius varies.
Shape blob(unsigned seed, unsigned stream, double lon, double lat, double half_width_deg, double half_height_deg, double roughness,
           int points) {
  Draws draws(seed, stream);
  constexpr int kHarmonics = 24;
  double amplitude[kHarmonics], phase[kHarmonics];
  for (int k = 0; k < kHarmonics; ++k) {
    amplitude[k] = roughness * draws.normal() / std::pow(k + 2.0, 1.1);
    phase[k] = 2 * std::numbers::pi * draws.uniform();
  }
  auto ring = std::make_unique<OGRLinearRing>();
  for (int i = 0; i < points; ++i) {
    const double angle = 2 * std::numbers::pi * i / points;
    double radius = 1;
    for (int k = 0; k < kHarmonics; ++k) radius += amplitude[k] * std::cos((k + 2) * angle + phase[k]);
    ring->addPoint(lon + half_width_deg * radius * std::cos(angle), lat + half_height_deg * radius * std::sin(angle));
  }
  ring->closeRings();
  auto polygon = std::make_unique<OGRPolygon>();
  polygon->addRingDirectly(ring.release());
  return polygon;
}

/// Extent and wiggles of the lines that part islands, degrees. The wiggles are six waves, the k-th of frequency k and size 1/k.
struct LineLook {
  double south = 54.0, north = 58.0, west = -30.5, east = -25.5;
  int points = 1200;
  double size_deg = 0.035, frequency = 6.0;  // of the longest wave: standard deviation of its height; radians a degree
};

/// Everything to the west of a wiggly meridian (or, turned, to the south of a wiggly parallel).
Shape side_of_line(unsigned seed, unsigned stream, double position_deg, bool west_side, const LineLook& look = {}) {
  Draws draws(seed, stream);
  double amplitude[6], phase[6];
  for (int k = 0; k < 6; ++k) {
    amplitude[k] = look.size_deg * draws.normal() / (k + 1.0);
    phase[k] = 2 * std::numbers::pi * draws.uniform();
  }
  auto ring = std::make_unique<OGRLinearRing>();
  const auto add = [&](double across, double along) { west_side ? ring->addPoint(across, along) : ring->addPoint(along, across); };
  const double from = west_side ? look.south : look.west, to = west_side ? look.north : look.east, far = west_side ? look.west : look.south;
  add(far, from);
  for (int i = 0; i <= look.points; ++i) {
    const double along = from + (to - from) * i / look.points;
    double across = position_deg;
    for (int k = 0; k < 6; ++k) across += amplitude[k] * std::sin((k + 1) * look.frequency * along + phase[k]);
    add(across, along);
  }
  add(far, to);
  ring->closeRings();
  auto polygon = std::make_unique<OGRPolygon>();
  polygon->addRingDirectly(ring.release());
  return polygon;
}

std::string text_of(const Shape& shape) {
  char* wkt = nullptr;
  if (shape->exportToWkt(&wkt) != OGRERR_NONE) throw std::runtime_error("demo regions: outline cannot be written as text");
  std::string text(wkt);
  CPLFree(wkt);
  return text;
}

Shape shape_of(const std::string& wkt) {
  OGRGeometry* geometry = nullptr;
  OGRGeometryFactory::createFromWkt(wkt.c_str(), nullptr, &geometry);
  return checked(geometry, "reading an outline");
}

}  // namespace

std::vector<RegionShape> make_region_shapes(unsigned seed) {
  const Shape ulvarren = blob(seed, 101, -28.35, 56.05, 0.84, 0.80, 0.10, 2400);
  const Shape quendlow = blob(seed, 102, -26.95, 55.62, 0.50, 0.50, 0.09, 1600);
  const Shape skerrith = blob(seed, 103, -26.98, 56.78, 0.50, 0.31, 0.09, 1400);

  // Ulvarren: a ridge of hills parts the wet coast from the rest; the lee is cut north and south.
  const Shape windward = side_of_line(seed, 110, -28.72, true), centre = side_of_line(seed, 111, -28.12, true);
  const Shape wet_south = side_of_line(seed, 112, 56.08, false), dry_south = side_of_line(seed, 113, 56.02, false);
  const Shape wet = inside(ulvarren, windward), lee = without(ulvarren, windward);
  const Shape dry = without(lee, centre);
  const Shape moor = blob(seed, 120, -28.93, 55.86, 0.06, 0.07, 0.12, 240), lake = blob(seed, 121, -28.42, 56.22, 0.07, 0.05, 0.12, 240);
  const Shape north_islet = blob(seed, 122, -28.98, 56.86, 0.09, 0.06, 0.12, 260),
              south_islet = blob(seed, 123, -27.68, 55.28, 0.10, 0.07, 0.12, 260);

  // Quendlow: four quarters; Skerrith: two halves.
  const Shape quendlow_west = side_of_line(seed, 114, -26.97, true), quendlow_south = side_of_line(seed, 115, 55.60, false);
  const Shape west_half = inside(quendlow, quendlow_west), east_half = without(quendlow, quendlow_west);
  const Shape skerrith_west = side_of_line(seed, 116, -27.0, true);
  const Shape mere = blob(seed, 124, -26.72, 55.84, 0.05, 0.05, 0.12, 200);

  const auto region = [](const char* id, const char* name, const char* island, const Shape& shape) {
    return RegionShape{id, name, island, text_of(shape)};
  };
  return {
      region("gruvnish", "Gruvnish", "Ulvarren", with(without(wet, wet_south), north_islet)),
      region("tholbrack", "Tholbrack", "Ulvarren", without(inside(wet, wet_south), moor)),
      region("mirrowdale", "Mirrowdale", "Ulvarren", without(inside(lee, centre), lake)),
      region("ellspan", "Ellspan", "Ulvarren", without(dry, dry_south)),
      region("vorrimay", "Vorrimay", "Ulvarren", with(inside(dry, dry_south), south_islet)),
      region("pennuld", "Pennuld", "Quendlow", without(west_half, quendlow_south)),
      region("drisselby", "Drisselby", "Quendlow", without(without(east_half, quendlow_south), mere)),
      region("wexmarl", "Wexmarl", "Quendlow", inside(west_half, quendlow_south)),
      region("kelldrum", "Kelldrum", "Quendlow", inside(east_half, quendlow_south)),
      region("nethwarra", "Nethwarra", "Skerrith", inside(skerrith, skerrith_west)),
      region("brumsay", "Brumsay", "Skerrith", without(skerrith, skerrith_west)),
  };
}

std::vector<RegionShape> make_wide_region_shapes(unsigned seed, int count, const Stretch& stretch) {
  struct Part {
    std::string island;
    Shape shape;
    double area;
  };
  const auto area_of = [](const Shape& shape) { return OGR_G_Area(OGRGeometry::ToHandle(shape.get())); };
  std::vector<Part> parts;
  const auto island = [&](const char* name, unsigned stream, double lon, double lat, double half_width, double half_height,
                          double roughness) {
    const double f = stretch.factor;
    Shape shape = blob(seed, stream, stretch.lon(lon), stretch.lat(lat), f * half_width, f * half_height, roughness, 12000);
    const double area = area_of(shape);
    parts.push_back({name, std::move(shape), area});
  };
  island("Ulvarren", 101, -28.35, 56.05, 0.84, 0.80, 0.10);
  island("Quendlow", 102, -26.95, 55.62, 0.50, 0.50, 0.09);
  island("Skerrith", 103, -26.98, 56.78, 0.50, 0.31, 0.09);

  const LineLook look{stretch.lat(54.0), stretch.lat(58.0), stretch.lon(-30.5), stretch.lon(-25.5), 15000, 0.02, 9.0};
  const double lon_shrink = std::cos(56 * std::numbers::pi / 180);
  for (unsigned line = 0; static_cast<int>(parts.size()) < count; ++line) {
    auto& whole = *std::max_element(parts.begin(), parts.end(), [](const Part& a, const Part& b) { return a.area < b.area; });
    OGREnvelope box;
    whole.shape->getEnvelope(&box);
    const bool wide = (box.MaxX - box.MinX) * lon_shrink > box.MaxY - box.MinY;
    const Shape side = side_of_line(seed, 2000 + line, wide ? 0.5 * (box.MinX + box.MaxX) : 0.5 * (box.MinY + box.MaxY), wide, look);
    Part rest{whole.island, without(whole.shape, side), 0};
    rest.area = area_of(rest.shape);
    whole.shape = inside(whole.shape, side);
    whole.area = area_of(whole.shape);
    parts.push_back(std::move(rest));
  }
  std::map<std::string, int> number;
  std::vector<RegionShape> regions;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    OGRPoint middle;
    if (i % 17 == 5 && parts[i].shape->Centroid(&middle) == OGRERR_NONE) {
      const double reach = 0.15 * std::sqrt(parts[i].area);
      parts[i].shape =
          without(parts[i].shape, blob(seed, 3000 + static_cast<unsigned>(i), middle.getX(), middle.getY(), reach, 0.6 * reach, 0.12, 400));
    }
    const std::string place = std::to_string(1000 + ++number[parts[i].island]).substr(1);
    std::string id = parts[i].island + "-" + place;
    id[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(id[0])));
    regions.push_back({id, parts[i].island + " " + place, parts[i].island, text_of(parts[i].shape)});
  }
  return regions;
}

std::vector<std::int16_t> region_of_cells(const std::vector<RegionShape>& regions, const Grid& grid, bool touched) {
  register_drivers();
  auto* driver = GetGDALDriverManager()->GetDriverByName("MEM");
  const std::unique_ptr<GDALDataset> memory(driver->Create("", grid.columns, grid.rows, 1, GDT_Int16, nullptr));
  if (!memory) throw std::runtime_error("demo regions: no memory raster");
  double transform[6] = {grid.west_deg, grid.step_deg, 0, grid.north_deg, 0, -grid.step_deg};
  memory->SetGeoTransform(transform);
  memory->GetRasterBand(1)->Fill(-1);
  int band = 1;
  char touched_option[] = "ALL_TOUCHED=TRUE";
  char* options[] = {touched ? touched_option : nullptr, nullptr};
  for (std::size_t i = 0; i < regions.size(); ++i) {
    const Shape shape = shape_of(regions[i].outline_wkt);
    OGRGeometryH geometry = OGRGeometry::ToHandle(shape.get());
    double value = static_cast<double>(i);
    if (GDALRasterizeGeometries(memory.get(), 1, &band, 1, &geometry, nullptr, nullptr, &value, options, nullptr, nullptr) != CE_None)
      throw std::runtime_error("demo regions: " + regions[i].id + " cannot be laid on the grid");
  }
  std::vector<std::int16_t> cells(grid.size());
  if (memory->GetRasterBand(1)->RasterIO(GF_Read, 0, 0, grid.columns, grid.rows, cells.data(), grid.columns, grid.rows, GDT_Int16, 0, 0) !=
      CE_None)
    throw std::runtime_error("demo regions: the grid cannot be read back");
  return cells;
}

void write_regions(const std::vector<RegionShape>& regions, const std::string& path) {
  register_drivers();
  CPLSetConfigOption("OGR_CURRENT_DATE", "2027-01-01T00:00:00.000Z");  // the same bytes every time
  auto* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
  std::unique_ptr<GDALDataset> file(driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  if (!file) throw std::runtime_error(path + ": cannot be written");
  OGRSpatialReference wgs84;
  wgs84.importFromEPSG(4326);
  wgs84.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  OGRLayer* layer = file->CreateLayer("regions", &wgs84, wkbMultiPolygon, nullptr);
  OGRFieldDefn id("region", OFTString), name("name", OFTString);
  if (layer == nullptr || layer->CreateField(&id) != OGRERR_NONE || layer->CreateField(&name) != OGRERR_NONE)
    throw std::runtime_error(path + ": layer cannot be made");
  for (const auto& region : regions) {
    OGRFeature feature(layer->GetLayerDefn());
    feature.SetField("region", region.id.c_str());
    feature.SetField("name", region.name.c_str());
    feature.SetGeometryDirectly(OGRGeometryFactory::forceToMultiPolygon(shape_of(region.outline_wkt).release()));
    if (layer->CreateFeature(&feature) != OGRERR_NONE) throw std::runtime_error(path + ": region " + region.id + " cannot be written");
  }
}

}  // namespace rickyard::demo
