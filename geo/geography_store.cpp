#include "geo/geography_store.h"

namespace rickyard {
namespace {

// One list of fields for both directions: Fields is a ByteWriter or a ByteReader behind the same calls.
struct Putting {
  ByteWriter& to;
  template <typename T>
  void operator()(const T& value) const {
    to.put(value);
  }
  template <typename T, typename One>
  void each(const std::vector<T>& values, const One& one) const {
    to.put_each(values, [&](const T& value) { one(*this, value); });
  }
};
struct Getting {
  ByteReader& from;
  template <typename T>
  void operator()(T& value) const {
    from.get(value);
  }
  template <typename T, typename One>
  void each(std::vector<T>& values, const One& one) const {
    from.get_each(values, [&](T& value) { one(*this, value); });
  }
};

const auto kProblem = [](const auto& io, auto& p) {
  io(p.severity);
  io(p.place);
  io(p.value);
  io(p.message);
  io(p.remedy);
};

const auto kFinding = [](const auto& io, auto& f) {
  io(f.severity);
  io(f.where.table);
  io(f.where.row);
  io(f.where.field);
  io(f.value);
  io(f.message);
  io(f.remedy);
};

const auto kRegion = [](const auto& io, auto& region) {
  io(region.id);
  io(region.name);
  io(region.area_ha);
  io(region.valid_share);
  io.each(region.units, [](const auto& inner, auto& share) {
    inner(share.unit);
    inner(share.ha);
  });
  io(region.outline_geojson);
};

template <typename Io, typename L>
void land_fields(const Io& io, L& land) {
  io.each(land.cells, [](const auto& inner, auto& cell) {
    inner(cell.lon_deg);
    inner(cell.lat_deg);
    inner(cell.elevation_m);
    inner(cell.width_deg);
    inner(cell.height_deg);
  });
  io.each(land.soils, [](const auto& inner, auto& soil) {
    inner(soil.name);
    inner(soil.sand_frac);
    inner(soil.clay_frac);
    inner(soil.wilting);
    inner(soil.field_capacity);
    inner(soil.saturation);
    inner(soil.ks_mm_day);
    inner(soil.root_depth_m);
    inner(soil.hydrologic_group);
  });
  io.each(land.units, [](const auto& inner, auto& unit) {
    inner(unit.cell);
    inner(unit.soil);
  });
  io.each(land.regions, kRegion);
  io.each(land.warnings, kFinding);
}

template <typename Io, typename G>
void grid_fields(const Io& io, G& grid) {
  io(grid.crs_wkt);
  io(grid.geographic);
  io(grid.columns);
  io(grid.rows);
  io(grid.west);
  io(grid.north);
  io(grid.cell_width);
  io(grid.cell_height);
  io(grid.cell_index);
}

template <typename Io, typename M>
void monthly_fields(const Io& io, M& archive) {
  io(archive.cells);
  io(archive.months);
  io(archive.first_month.year);
  io(archive.first_month.month);
  io(archive.rain_mm);
  io(archive.tmin_c);
  io(archive.tmax_c);
  io(archive.wet_days);
}

template <typename Io, typename P>
void packed_fields(const Io& io, P& packed) {
  io(packed.made_from);
  io(packed.capacity);
  io(packed.cells);
  io(packed.days);
  io(packed.first_day);
  io(packed.arrays);
}

template <typename Io, typename R, typename P>
void reading_fields(const Io& io, R& reading, P& packed) {
  land_fields(io, reading.land);
  grid_fields(io, reading.grid);
  io.each(reading.problems, kProblem);
  io.each(reading.declared, [](const auto& inner, auto& declared) {
    inner(declared.what);
    inner(declared.value);
    inner(declared.source);
  });
  io.each(reading.remote, [](const auto& inner, auto& remote) {
    inner(remote.url);
    inner(remote.identity);
  });
  packed_fields(io, packed);
}

}  // namespace

void put(ByteWriter& to, const GeoReading& reading, const PackedWeather& packed, const std::filesystem::path& folder) {
  const Putting io{to};
  reading_fields(io, reading, packed);
  to.put_each(reading.files, [&](const std::filesystem::path& file) {
    const auto inside = file.lexically_relative(folder);
    to.put(inside.empty() || *inside.begin() == ".." ? file.string() : inside.string());
  });
  to.put(reading.monthly.has_value());
  if (reading.monthly) monthly_fields(io, *reading.monthly);
}

void get(ByteReader& from, GeoReading& reading, PackedWeather& packed, const std::filesystem::path& folder) {
  const Getting io{from};
  reading_fields(io, reading, packed);
  from.get_each(reading.files, [&](std::filesystem::path& file) {
    std::string text;
    from.get(text);
    file = std::filesystem::path(text).is_absolute() ? std::filesystem::path(text) : folder / text;
  });
  bool monthly = false;
  from.get(monthly);
  if (monthly) monthly_fields(io, reading.monthly.emplace());
  if (!from.at_end()) throw std::out_of_range("kept bytes go on after their end");
}

}  // namespace rickyard
