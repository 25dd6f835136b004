#include "planner/crop/lane_weather.h"

#include <algorithm>

#include "planner/weather/et0.h"

namespace rickyard {
namespace {

// Radiation and day length by day of the year at the latitudes of the lanes. Neighbours share theirs more often than not.
void fill_suns(const std::vector<WeatherCell>& cells, const std::array<int, Lanes::kCount>& of_lane, LaneDays& ra_mj,
               LaneDays& daylight_h) {
  ra_mj.resize(367);
  daylight_h.resize(367);
  SunTable sun;
  double latitude = 1000;
  for (std::size_t lane = 0; lane < Lanes::kCount; ++lane) {
    const double here = cells[static_cast<std::size_t>(of_lane[lane])].lat_deg;
    if (here != latitude) sun = sun_table(latitude = here);
    for (std::size_t j = 1; j < 367; ++j) {
      ra_mj[j][lane] = sun.ra_mj[j];
      daylight_h[j][lane] = sun.daylight_h[j];
    }
  }
}

// Where a lane's values lie in the archive.
template <typename T>
struct Column {
  const T* first = nullptr;
  std::size_t stride = 0;
  int operator[](int day) const { return first[static_cast<std::size_t>(day) * stride]; }
};
template <typename T>
std::array<Column<T>, Lanes::kCount> columns(const WeatherArchive& archive, const WeatherValues<T>& values,
                                             const std::array<int, Lanes::kCount>& cells) {
  std::array<Column<T>, Lanes::kCount> out;
  for (std::size_t lane = 0; lane < Lanes::kCount; ++lane)
    out[lane] = {values.data() + archive.at(0, cells[lane]), archive.stride(cells[lane])};
  return out;
}

}  // namespace

LaneReader::LaneReader(const Land& land, const std::vector<int>& units, const CellDayReader& reader, const CellDayReader& observed)
    : land_(land), reader_(reader), observed_(observed), units_(units) {
  for (std::size_t lane = 0; lane < Lanes::kCount; ++lane)
    cells_[lane] = land.units[static_cast<std::size_t>(units[lane < units.size() ? lane : 0])].cell;
  if (!reader.plain()) {
    given_.emplace(land, units, reader);
    return;
  }
  fill_suns(land.cells, cells_, ra_mj_, daylight_h_);
  for (std::size_t lane = 0; lane < Lanes::kCount; ++lane) {
    clear_share_[lane] = clear_sky_radiation(land.cells[static_cast<std::size_t>(cells_[lane])].elevation_m, 1);
    reader.archive().require(cells_[lane], 1);
  }
}

void LaneReader::know(const Splice& splice) {
  known_first_ = splice.season.first;
  if (given_) given_->know(splice, observed_);
}

// As CellDayReader::read with Hargreaves: the same operations, cell by cell in the lanes.
void LaneReader::read_plain(const SeasonWindow& window, const std::vector<SplicedDay>* spliced, LaneWeather& out) {
  const WeatherArchive& archive = reader_.archive();
  const auto rain = columns(archive, archive.rain_cmm, cells_);
  const auto low = columns(archive, archive.tmin_cc, cells_), high = columns(archive, archive.tmax_cc, cells_);
  plain_.resize(static_cast<std::size_t>(window.days));
  for (int day = window.begin; day < window.days; ++day) {
    const auto t = static_cast<std::size_t>(day);
    const SplicedDay pair = spliced ? (*spliced)[t] : SplicedDay{};
    const bool known = pair.known >= 0;
    const int from = known ? known_first_ + pair.known : window.first + day;
    const int shift = known ? 0 : reader_.shift_cc();
    const auto j = static_cast<std::size_t>(reader_.day_of_year(from));
    plain_[t] = {pair.no_rain ? 0 : known ? 1 : reader_.rain_factor(from), &ra_mj_[j]};
    out.daylight_h[t] = daylight_h_[j];
    bool gap = false;
    for (std::size_t lane = 0; lane < Lanes::kCount; ++lane) {
      const int r = rain[lane][from], a = low[lane][from], b = high[lane][from];
      gap =
          gap || r == WeatherArchive::kMissingRain || a == WeatherArchive::kMissingTemperature || b == WeatherArchive::kMissingTemperature;
      out.rain_mm[t][lane] = r;
      out.tmin_c[t][lane] = a + shift;
      out.tmax_c[t][lane] = b + shift;
    }
    if (gap) name_gap(from);
  }
  lane_kernel::plain_weather({reader_.krs(), clear_share_, plain_}, out);
}

// The reader of single cells names the cell and the day.
void LaneReader::name_gap(int archive_day) const {
  CellDays found;
  for (const int cell : cells_) observed_.read(cell, sun_table(land_.cells[static_cast<std::size_t>(cell)].lat_deg), archive_day, 1, found);
}

void LaneReader::read_given(const SeasonWindow& window, const std::vector<SplicedDay>* spliced, LaneWeather& out) {
  given_->read(window, spliced);
  for (int day = window.begin; day < window.days; ++day) {
    const auto t = static_cast<std::size_t>(day);
    for (std::size_t lane = 0; lane < Lanes::kCount; ++lane) {
      const FieldWeather& from = given_->at(static_cast<std::size_t>(day - window.begin), lane < units_.size() ? lane : 0);
      out.rain_mm[t][lane] = from.rain_mm;
      out.tmin_c[t][lane] = from.tmin_c;
      out.tmax_c[t][lane] = from.tmax_c;
      out.et0_mm[t][lane] = from.et0_mm;
      out.radiation_mj[t][lane] = from.radiation_mj;
      out.warmth[t][lane] = from.warmth;
      out.vapour_kpa[t][lane] = from.vapour_kpa;
      out.daylight_h[t][lane] = from.daylight_h;
    }
  }
  out.vapour_given = given_->at(0, 0).vapour_kpa >= 0;
}

void LaneReader::read(const SeasonWindow& window, const std::vector<SplicedDay>* spliced, const CropSettings& settings, LaneWeather& out) {
  out.resize(window.begin, window.days);
  const bool leafy = settings.stages.day_length_sensitivity > 0;
  given_ ? read_given(window, spliced, out) : read_plain(window, spliced, out);
  lane_kernel::weather_sums(settings, leafy, out);
}

}  // namespace rickyard
