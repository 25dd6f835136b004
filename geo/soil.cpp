#include "geo/soil.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <stdexcept>

#include "geo/crs.h"
#include "planner/crop/soil_hydraulics.h"

namespace rickyard {
namespace {

constexpr double kDeepest = 1.0;  // m, where nothing is said

struct SoilKey {
  int available_cm = 0;  // available water, 10 mm/m
  int group = 0;
  int depth_dm = 0;  // 0 where no raster of rooting depth is given
  auto operator<=>(const SoilKey&) const = default;
};

struct SoilSums {
  SoilClass sum = {"", 0, 0, 0, 0, 0, 0, 0, 0};  // sums of the limits
  long long pixels = 0;
};

void add(SoilSums& sums, const SoilClass& pixel) {
  sums.sum.sand_frac += pixel.sand_frac;
  sums.sum.clay_frac += pixel.clay_frac;
  sums.sum.wilting += pixel.wilting;
  sums.sum.field_capacity += pixel.field_capacity;
  sums.sum.saturation += pixel.saturation;
  sums.sum.ks_mm_day += pixel.ks_mm_day;
  sums.sum.root_depth_m += pixel.root_depth_m;
  ++sums.pixels;
}

SoilClass mean_of(const SoilSums& sums, const SoilKey& key) {
  SoilClass out = sums.sum;
  const double n = static_cast<double>(sums.pixels);
  for (double* value :
       {&out.sand_frac, &out.clay_frac, &out.wilting, &out.field_capacity, &out.saturation, &out.ks_mm_day, &out.root_depth_m})
    *value /= n;
  out.hydrologic_group = key.group;
  out.name = fmt::format("{} mm/m, group {}", key.available_cm * 10, static_cast<char>('A' + key.group));
  if (key.depth_dm > 0) out.name += fmt::format(", {:.1f} m deep", key.depth_dm * 0.1);
  return out;
}

void take_stones(SoilClass& soil, double stones_frac) {
  for (double* value : {&soil.wilting, &soil.field_capacity, &soil.saturation}) *value *= 1 - stones_frac;
}

// The soil rasters that are named, opened, on one grid.
class SoilRasters {
 public:
  SoilRasters(const Season& season, InputLog& log);
  bool textures() const { return sand_ >= 0; }
  bool usable() const { return !failed_ && !layers_.empty(); }
  const std::vector<RasterStack>& layers() const { return layers_; }
  /// The soil of a pixel; nullopt where a value is missing. A value that makes no soil is tallied.
  std::optional<SoilClass> soil_of(const Pixel& pixel);
  void report() const;

 private:
  int open(const Season& season, const char* key, Quantity quantity);
  std::optional<SoilClass> from_texture(const Pixel& pixel, double sand, double clay, double organic);
  void wrong(int layer, const Pixel& pixel, double value, std::string what);

  InputLog& log_;
  std::vector<RasterStack> layers_;
  int sand_ = -1, clay_ = -1, organic_ = -1, available_ = -1, drainage_ = -1, stones_ = -1, depth_ = -1;
  bool failed_ = false;
  std::array<double, 3> last_texture_ = {-1, -1, -1};
  SoilClass last_soil_;
  Problem first_wrong_;
  long long wrong_ = 0;
};

int SoilRasters::open(const Season& season, const char* key, Quantity quantity) {
  const auto found = season.rasters.find(key);
  if (found == season.rasters.end()) return -1;
  auto stack = RasterStack::open({key, quantity, false}, found->second, log_);
  if (!stack) {
    failed_ = true;
    return -1;
  }
  if (!layers_.empty() &&
      (!same_lattice(layers_.front().grid(), stack->grid()) || !same_crs(layers_.front().grid().crs_wkt, stack->grid().crs_wkt))) {
    log_.error(stack->shown(), "", "its grid differs from that of " + layers_.front().shown(), "bring all soil rasters to one grid");
    failed_ = true;
    return -1;
  }
  layers_.push_back(std::move(*stack));
  return static_cast<int>(layers_.size()) - 1;
}

SoilRasters::SoilRasters(const Season& season, InputLog& log) : log_(log) {
  const auto has = [&](const char* key) { return season.rasters.contains(key); };
  const bool texture = has("sand") || has("clay") || has("organic_matter"), direct = has("available_water") || has("drainage_class");
  if (texture && direct) {
    log.error("season.toml (rasters)", "", "soil is given twice: by texture and by available water",
              "give sand, clay and organic_matter, or available_water and drainage_class");
    failed_ = true;
    return;
  }
  for (const char* key : {"sand", "clay", "organic_matter"})
    if (texture && !has(key)) {
      log.error(std::string("season.toml (rasters.") + key + ")", "", "is missing: texture needs sand, clay and organic_matter",
                "name it, or give available_water and drainage_class");
      failed_ = true;
    }
  for (const char* key : {"available_water", "drainage_class"})
    if (direct && !has(key)) {
      log.error(std::string("season.toml (rasters.") + key + ")", "", "is missing: water limits need available_water and drainage_class",
                "name it, or give sand, clay and organic_matter");
      failed_ = true;
    }
  sand_ = open(season, "sand", Quantity::texture);
  clay_ = open(season, "clay", Quantity::texture);
  organic_ = open(season, "organic_matter", Quantity::texture);
  available_ = open(season, "available_water", Quantity::available_water);
  drainage_ = open(season, "drainage_class", Quantity::plain);
  stones_ = open(season, "stones", Quantity::stones);
  depth_ = open(season, "root_depth", Quantity::length_m);
}

void SoilRasters::wrong(int layer, const Pixel& pixel, double value, std::string what) {
  if (wrong_++ > 0) return;
  first_wrong_ = {Severity::error, layers_[static_cast<std::size_t>(layer)].shown(), fmt::format("{:.6g}", value),
                  fmt::format("{} at row {}, column {}", what, pixel.row + 1, pixel.column + 1),
                  "where this stands for a missing value, state its fill; otherwise check the unit"};
}

void SoilRasters::report() const {
  if (wrong_ == 0) return;
  Problem problem = first_wrong_;
  if (wrong_ > 1) problem.message += fmt::format(" ({} pixels in all)", wrong_);
  log_.add(problem);
}

std::optional<SoilClass> SoilRasters::from_texture(const Pixel& pixel, double sand, double clay, double organic) {
  const std::array<double, 3> texture = {sand, clay, organic};
  if (texture == last_texture_) return last_soil_;
  // Percentages that were rounded apart may pass 100 by a little.
  const double sum = sand + clay;
  if (sand < 0 || clay < 0 || sum > 101) {
    wrong(sand_, pixel, sand, fmt::format("sand and clay ({:.6g}) are not shares of 100", clay));
    return std::nullopt;
  }
  if (organic < 0 || organic > 100) {
    wrong(organic_, pixel, organic, "organic matter is outside 0 to 100 %");
    return std::nullopt;
  }
  const double scale = sum > 100 ? 100 / sum : 1;
  try {
    const SoilLimits limits = saxton_rawls(sand * scale / 100, clay * scale / 100, organic);
    last_soil_ = SoilClass{"",
                           sand * scale / 100,
                           clay * scale / 100,
                           limits.wilting,
                           limits.field_capacity,
                           limits.saturation,
                           limits.ks_mm_day,
                           kDeepest,
                           hydrologic_group_of_ks(limits.ks_mm_day)};
    last_texture_ = texture;
    return last_soil_;
  } catch (const std::domain_error& error) {
    wrong(sand_, pixel, sand,
          fmt::format("with clay {:.6g} and organic matter {:.6g} there are no water limits ({})", clay, organic, error.what()));
    return std::nullopt;
  }
}

std::optional<SoilClass> SoilRasters::soil_of(const Pixel& pixel) {
  for (std::size_t i = 0; i < layers_.size(); ++i)
    if (std::isnan(pixel.values[i])) return std::nullopt;
  const auto value = [&](int layer) { return pixel.values[layer]; };
  std::optional<SoilClass> soil;
  if (textures()) {
    soil = from_texture(pixel, value(sand_), value(clay_), value(organic_));
  } else {
    const double available = value(available_), drainage = value(drainage_);
    if (!(drainage == 1 || drainage == 2 || drainage == 3 || drainage == 4)) {
      wrong(drainage_, pixel, drainage, "drainage class is none of 1, 2, 3, 4 (groups A, B, C, D)");
      return std::nullopt;
    }
    SoilClass direct;
    if (!limits_of_drainage(static_cast<int>(drainage) - 1, available, direct)) {
      wrong(available_, pixel, available, "available water is outside 10 to 400 mm/m");
      return std::nullopt;
    }
    soil = direct;
  }
  if (!soil) return std::nullopt;
  if (stones_ >= 0) {
    const double stones = value(stones_);
    if (!(stones >= 0 && stones < 100)) {
      wrong(stones_, pixel, stones, "stones are outside 0 to under 100 % by volume");
      return std::nullopt;
    }
    take_stones(*soil, stones / 100);
  }
  if (depth_ >= 0) {
    const double depth = value(depth_);
    if (!(depth > 0 && depth <= 10)) {
      wrong(depth_, pixel, depth, "rooting depth is outside 0 to 10 m");
      return std::nullopt;
    }
    soil->root_depth_m = depth;
  }
  return soil;
}

SoilKey key_of(const SoilClass& soil, bool with_depth) {
  const double available_mm_m = (soil.field_capacity - soil.wilting) * 1000;
  return {static_cast<int>(std::lround(available_mm_m / 10)), soil.hydrologic_group,
          with_depth ? std::max(1, static_cast<int>(std::lround(soil.root_depth_m * 10))) : 0};
}

// Groups pixels into classes and cells.
void read_classes(SoilRasters& rasters, bool with_depth, const GridDefinition& grid, const CellList& cells, Progress& progress,
                  SoilReading& out) {
  std::vector<const RasterStack*> layers;
  for (const auto& layer : rasters.layers()) layers.push_back(&layer);
  std::map<SoilKey, SoilSums> classes;
  std::vector<std::map<SoilKey, long long>> counts(cells.size());
  std::vector<long long> pixels(cells.size(), 0);
  each_pixel(layers, grid, cells, progress, [&](const Pixel& pixel) {
    const auto cell = static_cast<std::size_t>(pixel.cell);
    ++pixels[cell];
    const auto soil = rasters.soil_of(pixel);
    if (!soil) return;
    const SoilKey key = key_of(*soil, with_depth);
    add(classes[key], *soil);
    ++counts[cell][key];
  });
  std::map<SoilKey, int> index;
  for (const auto& [key, sums] : classes) {
    index.emplace(key, static_cast<int>(out.classes.size()));
    out.classes.push_back(mean_of(sums, key));
  }
  for (std::size_t i = 0; i < cells.size(); ++i) {
    long long valid = 0;
    for (const auto& [key, count] : counts[i]) valid += count;
    for (const auto& [key, count] : counts[i])
      out.cells[i].classes.push_back({index.at(key), static_cast<double>(count) / static_cast<double>(valid)});
    out.cells[i].valid_share = pixels[i] == 0 ? 0 : static_cast<double>(valid) / static_cast<double>(pixels[i]);
  }
}

// Mean of one raster over the valid pixels of each cell; NaN where there are none.
std::vector<double> cell_means(const RasterStack& layer, double lowest, double highest, const char* what, const GridDefinition& grid,
                               const CellList& cells, Progress& progress, InputLog& log) {
  std::vector<double> sum(cells.size(), 0);
  std::vector<long long> count(cells.size(), 0);
  std::optional<Problem> bad;
  each_pixel({&layer}, grid, cells, progress, [&](const Pixel& pixel) {
    const double value = *pixel.values;
    if (std::isnan(value)) return;
    if (!(value >= lowest && value <= highest)) {
      if (!bad)
        bad = Problem{Severity::error, layer.shown(), fmt::format("{:.6g}", value),
                      fmt::format("{} at row {}, column {}", what, pixel.row + 1, pixel.column + 1),
                      "where this stands for a missing value, state its fill; otherwise check the unit"};
      return;
    }
    sum[static_cast<std::size_t>(pixel.cell)] += value;
    ++count[static_cast<std::size_t>(pixel.cell)];
  });
  if (bad) log.add(*bad);
  for (std::size_t i = 0; i < sum.size(); ++i) sum[i] = count[i] == 0 ? NAN : sum[i] / static_cast<double>(count[i]);
  return sum;
}

struct OptionalLayers {
  std::optional<RasterStack> crop_mask, elevation;
};

OptionalLayers open_optional(const Season& season, InputLog& log) {
  OptionalLayers out;
  if (const auto found = season.rasters.find("crop_mask"); found != season.rasters.end())
    out.crop_mask = RasterStack::open({"crop_mask", Quantity::plain, false}, found->second, log);
  if (const auto found = season.rasters.find("elevation"); found != season.rasters.end())
    out.elevation = RasterStack::open({"elevation", Quantity::length_m, false}, found->second, log);
  return out;
}

bool names_soil(const Season& season) {
  for (const char* key : {"sand", "clay", "organic_matter", "available_water", "drainage_class"})
    if (season.rasters.contains(key)) return true;
  return false;
}

// The uniform soil where it is the one to use; problems logged.
std::optional<SoilClass> settled_uniform(const Season& season, InputLog& log) {
  if (!season.soil) {
    if (!names_soil(season))
      log.error("season.toml (soil)", "", "no soil is given",
                "state one in [soil] by sand_pct, clay_pct and organic_matter_pct, or name soil rasters");
    return std::nullopt;
  }
  if (names_soil(season)) {
    log.error("season.toml (soil)", "", "soil is given twice: in [soil] and by rasters", "leave one of them out");
    return std::nullopt;
  }
  try {
    return uniform_soil(*season.soil);
  } catch (const std::domain_error& error) {
    log.error("season.toml (soil)", "", std::string("makes no soil: ") + error.what(),
              "give sand, clay and organic matter in percent by weight");
    return std::nullopt;
  }
}

}  // namespace

SoilClass uniform_soil(const UniformSoil& soil) {
  const SoilLimits limits = saxton_rawls(soil.sand_pct / 100, soil.clay_pct / 100, soil.organic_matter_pct);
  SoilClass out{"",
                soil.sand_pct / 100,
                soil.clay_pct / 100,
                limits.wilting,
                limits.field_capacity,
                limits.saturation,
                limits.ks_mm_day,
                soil.root_depth_m.value_or(kDeepest),
                hydrologic_group_of_ks(limits.ks_mm_day)};
  const double stones = soil.stones_pct.value_or(0);
  if (!(stones >= 0 && stones < 100)) throw std::domain_error("stones are outside 0 to under 100 % by volume");
  take_stones(out, stones / 100);
  out.name = std::string(texture_name(usda_texture(soil.sand_pct, soil.clay_pct)));
  return out;
}

bool limits_of_drainage(int group, double available_mm_m, SoilClass& out) {
  // Wilting point, air space at field capacity, Ks. Judgement: typical of sand, loam, clay loam, clay; Ks is the geometric middle
  // of the group's range (A and D: a third of a decade beyond its limit).
  struct Row {
    double wilting, air, ks_mm_day;
  };
  constexpr std::array<Row, 4> rows = {{{0.06, 0.22, 1860}, {0.12, 0.16, 546}, {0.18, 0.11, 109}, {0.24, 0.07, 16}}};
  if (!(available_mm_m >= 10 && available_mm_m <= 400)) return false;
  const Row& row = rows[static_cast<std::size_t>(group)];
  out = SoilClass{};
  out.wilting = row.wilting;
  out.field_capacity = row.wilting + available_mm_m / 1000;
  out.saturation = out.field_capacity + row.air;
  out.ks_mm_day = row.ks_mm_day;
  out.root_depth_m = kDeepest;
  out.hydrologic_group = group;
  return out.saturation < 1;
}

SoilReading read_soil(const Season& season, const GridDefinition& grid, const CellList& cells, Progress& progress, InputLog& log) {
  SoilReading out;
  out.cells.resize(cells.size());
  const auto uniform = settled_uniform(season, log);
  if (uniform) {
    out.classes.push_back(*uniform);
    for (auto& cell : out.cells) {
      cell.classes = {{0, 1.0}};
      cell.valid_share = 1;
    }
  }
  SoilRasters rasters(season, log);
  const OptionalLayers optional = open_optional(season, log);
  try {
    if (!uniform && names_soil(season) && rasters.usable())
      read_classes(rasters, season.rasters.contains("root_depth"), grid, cells, progress, out);
    rasters.report();
    if (optional.crop_mask) {
      const auto shares = cell_means(*optional.crop_mask, 0, 1, "the crop mask is outside 0 to 1", grid, cells, progress, log);
      for (std::size_t i = 0; i < shares.size(); ++i) {
        out.cells[i].crop_share = std::isnan(shares[i]) ? 0 : shares[i];
        if (std::isnan(shares[i])) out.cells[i].valid_share = 0;
      }
    }
    if (optional.elevation) {
      const auto heights = cell_means(*optional.elevation, -500, 9000, "elevation is outside -500 to 9,000 m", grid, cells, progress, log);
      for (std::size_t i = 0; i < heights.size(); ++i) out.cells[i].elevation_m = std::isnan(heights[i]) ? 0 : heights[i];
    }
  } catch (const ReadFailure& failure) {
    log.add(failure.problem);
  } catch (const std::runtime_error& error) {
    log.error("season.toml (rasters)", "", "the soil rasters cannot be brought to the weather grid; " + log.quote(error.what()),
              "give them in another reference system");
  }
  return out;
}

void check_soil(const Season& season, InputLog& log) {
  settled_uniform(season, log);
  const SoilRasters rasters(season, log);
  open_optional(season, log);
}

}  // namespace rickyard
