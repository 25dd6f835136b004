#include "inputs.h"

#include <fcntl.h>
#include <gdal_priv.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <numbers>

#include "geo/gdal_words.h"
#include "planner/base/calendar.h"

namespace rickyard::bench {
namespace {

constexpr double kWest = 10, kNorth = 50, kCell = 0.001;

[[noreturn]] void stop(const std::string& why) {
  std::fprintf(stderr, "%s\n", why.c_str());
  std::exit(1);
}

void need(bool good, const char* what) {
  if (!good) stop(std::string("cannot make the inputs: ") + what + ": " + CPLGetLastErrorMsg());
}

OGRSpatialReference degrees() {
  OGRSpatialReference system;
  need(system.SetFromUserInput("EPSG:4326") == OGRERR_NONE, "EPSG:4326");
  system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  return system;
}

}  // namespace

Folder::Folder() {
  std::string name = (std::filesystem::temp_directory_path() / "rickyard-bench-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr) stop("no temporary folder");
  path_ = name;
}

Folder::~Folder() {
  std::error_code error;
  std::filesystem::remove_all(path_, error);
}

std::map<std::string, long> settings(int argc, char** argv, std::map<std::string, long> defaults) {
  for (int i = 1; i < argc; ++i) {
    const std::string text = argv[i];
    const auto at = text.find('=');
    const auto found = defaults.find(text.substr(0, at));
    if (at == std::string::npos || found == defaults.end()) stop("unknown setting: " + text);
    found->second = std::atol(text.c_str() + at + 1);
  }
  return defaults;
}

float value_at(int band, int row, int column) {
  const auto noise = static_cast<unsigned>(band * 7919 + row * 104729 + column * 1299709) * 2654435761u;
  return static_cast<float>(10 + 8 * std::sin(row * 0.004) * std::cos(column * 0.003 + band * 0.1)) +
         static_cast<float>(noise >> 24) / 128.0f;
}

void make_bands(const std::string& path, int columns, int rows, int bands, const std::string& compress) {
  prepare_gdal();
  CPLStringList options;
  options.AddNameValue("COMPRESS", compress.c_str());
  options.AddString("INTERLEAVE=BAND");
  options.AddString("BIGTIFF=IF_SAFER");
  const std::unique_ptr<GDALDataset> dataset(
      GetGDALDriverManager()->GetDriverByName("GTiff")->Create(path.c_str(), columns, rows, bands, GDT_Float32, options.List()));
  need(dataset != nullptr, "a GeoTIFF");
  double place[6] = {kWest, kCell, 0, kNorth, 0, -kCell};
  dataset->SetGeoTransform(place);
  const auto system = degrees();
  dataset->SetSpatialRef(&system);
  std::vector<float> plane(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows));
  for (int b = 0; b < bands; ++b) {
    auto at = plane.begin();
    for (int r = 0; r < rows; ++r)
      for (int c = 0; c < columns; ++c) *at++ = value_at(b, r, c);
    need(dataset->GetRasterBand(b + 1)->RasterIO(GF_Write, 0, 0, columns, rows, plane.data(), columns, rows, GDT_Float32, 0, 0, nullptr) ==
             CE_None,
         "a band");
  }
}

void make_cube(const std::string& path, const std::string& driver, int columns, int rows, int bands, const std::string& chunks) {
  prepare_gdal();
  const std::unique_ptr<GDALDataset> dataset(
      GetGDALDriverManager()->GetDriverByName(driver.c_str())->CreateMultiDimensional(path.c_str(), nullptr, nullptr));
  need(dataset != nullptr, "a file of arrays");
  const auto root = dataset->GetRootGroup();
  const auto real = GDALExtendedDataType::Create(GDT_Float64);
  const auto axis = [&](const char* name, const char* type, const char* unit, int n, const std::function<double(int)>& value) {
    auto dimension = root->CreateDimension(name, type, "", static_cast<GUInt64>(n), nullptr);
    auto array = root->CreateMDArray(name, {dimension}, real, nullptr);
    need(array != nullptr, "an axis");
    array->SetUnit(unit);
    std::vector<double> values;
    for (int i = 0; i < n; ++i) values.push_back(value(i));
    const GUInt64 start[] = {0};
    const std::size_t count[] = {values.size()};
    need(array->Write(start, count, nullptr, nullptr, real, values.data()), "an axis");
    dimension->SetIndexingVariable(array);
    return dimension;
  };
  const auto time = axis("time", GDAL_DIM_TYPE_TEMPORAL, "days since 2001-01-01", bands, [](int i) { return i; });
  const auto y = axis("latitude", GDAL_DIM_TYPE_HORIZONTAL_Y, "degrees_north", rows, [](int i) { return kNorth - kCell * (i + 0.5); });
  const auto x = axis("longitude", GDAL_DIM_TYPE_HORIZONTAL_X, "degrees_east", columns, [](int i) { return kWest + kCell * (i + 0.5); });
  CPLStringList options;
  options.AddNameValue("BLOCKSIZE", chunks.c_str());
  options.AddString(driver == "Zarr" ? "COMPRESS=ZLIB" : "COMPRESS=DEFLATE");
  const auto array = root->CreateMDArray("rain", {time, y, x}, GDALExtendedDataType::Create(GDT_Float32), options.List());
  need(array != nullptr, "an array");
  array->SetUnit("mm");
  const auto system = degrees();
  array->SetSpatialRef(&system);
  // In whole chunks of time.
  const int step = std::atoi(chunks.c_str());
  std::vector<float> values;
  for (int from = 0; from < bands; from += step) {
    const int n = std::min(step, bands - from);
    values.clear();
    for (int b = from; b < from + n; ++b)
      for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) values.push_back(value_at(b, r, c));
    const GUInt64 start[] = {static_cast<GUInt64>(from), 0, 0};
    const std::size_t count[] = {static_cast<std::size_t>(n), static_cast<std::size_t>(rows), static_cast<std::size_t>(columns)};
    need(array->Write(start, count, nullptr, nullptr, GDALExtendedDataType::Create(GDT_Float32), values.data()), "values");
  }
}

void make_dates(const std::string& path, int days) {
  std::ofstream out(path);
  for (int d = 0; d < days; ++d) out << to_text(date_of(day_number(Date(2001, 1, 1)) + d)) << "\n";
}

std::vector<MultiPolygon> wiggly_regions(int n, int vertices, int columns, int rows) {
  const int across = std::max(1, static_cast<int>(std::ceil(std::sqrt(static_cast<double>(n) * columns / rows))));
  const int down = (n + across - 1) / across;
  const double width = kCell * columns / across, height = kCell * rows / down;
  std::vector<MultiPolygon> out;
  for (int i = 0; i < n; ++i) {
    const double x = kWest + width * (i % across + 0.5), y = kNorth - height * (i / across + 0.5);
    Polygon polygon;
    for (int k = 0; k < vertices; ++k) {
      const double angle = 2 * std::numbers::pi * k / vertices;
      const double radius = 0.47 * (0.8 + 0.12 * std::sin(9 * angle + i) + 0.08 * std::sin(61 * angle));
      polygon.outer.push_back({x + width * radius * std::cos(angle), y + height * radius * std::sin(angle)});
    }
    out.push_back({polygon});
  }
  return out;
}

void write_regions(const std::string& path, const std::vector<MultiPolygon>& regions) {
  std::ofstream out(path);
  out.precision(17);
  out << R"({"type":"FeatureCollection","features":[)";
  for (std::size_t i = 0; i < regions.size(); ++i) {
    out << (i == 0 ? "" : ",") << R"({"type":"Feature","properties":{"id":)" << i + 1
        << R"(},"geometry":{"type":"Polygon","coordinates":[[)";
    const Ring& ring = regions[i].front().outer;
    for (const auto& p : ring) out << "[" << p.x << "," << p.y << "],";
    out << "[" << ring.front().x << "," << ring.front().y << "]]]}}";
  }
  out << "]}";
}

void read_bytes(const std::string& path) {
  static std::vector<char> buffer(1u << 20);
  const int file = open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) stop("cannot open " + path);
  ssize_t n = 0;
  while ((n = read(file, buffer.data(), buffer.size())) > 0) {
  }
  close(file);
  if (n < 0) stop("cannot read " + path);
}

namespace {
Clock chosen_clock = Clock::wall;
double now() {
  timespec time{};
  clock_gettime(chosen_clock == Clock::wall ? CLOCK_MONOTONIC : CLOCK_PROCESS_CPUTIME_ID, &time);
  return static_cast<double>(time.tv_sec) + 1e-9 * static_cast<double>(time.tv_nsec);
}
}  // namespace

void set_clock(Clock clock) { chosen_clock = clock; }

double seconds(const std::function<void()>& work) {
  const double start = now();
  work();
  return now() - start;
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

void say(const std::string& name, double value) {
  std::printf("%-52s %.6g\n", name.c_str(), value);
  std::fflush(stdout);
}

}  // namespace rickyard::bench
