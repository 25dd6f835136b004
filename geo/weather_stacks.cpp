// Opening the weather stacks and holding them against each other.
#include <fmt/format.h>

#include "geo/crs.h"
#include "geo/weather.h"

namespace rickyard {
namespace {

class Opener {
 public:
  Opener(const Season& season, InputLog& log) : season_(season), log_(log) {}
  WeatherStacks open();

 private:
  std::optional<RasterStack> stack(const char* key, Quantity quantity);
  bool has(const char* key) const { return season_.rasters.contains(key); }
  void require_temperatures();
  bool agrees(const RasterStack& stack) const;

  const Season& season_;
  InputLog& log_;
  WeatherStacks out_;
};

// Why a stack cannot go with the leader; logged. True where it can.
bool Opener::agrees(const RasterStack& stack) const {
  const RasterStack* leader = out_.leader();
  if (leader == nullptr) return true;
  const auto refuse = [&](const std::string& message, const std::string& remedy) {
    log_.error(stack.shown(), "", message, remedy);
    return false;
  };
  const GridDefinition &a = leader->grid(), &b = stack.grid();
  if (!same_crs(a.crs_wkt, b.crs_wkt))
    return refuse(
        fmt::format("its reference system ({}) differs from that of {} ({})", crs_name(b.crs_wkt), leader->shown(), crs_name(a.crs_wkt)),
        "bring all weather rasters to one grid");
  if (!same_lattice(a, b))
    return refuse(fmt::format("its grid ({} x {} cells of {:g} x {:g} from {:g}, {:g}) differs from that of {} ({} x {} cells of {:g} x "
                              "{:g} from {:g}, {:g})",
                              b.columns, b.rows, b.cell_width, b.cell_height, b.west, b.north, leader->shown(), a.columns, a.rows,
                              a.cell_width, a.cell_height, a.west, a.north),
                  "bring all weather rasters to one grid");
  if (leader->step() != stack.step())
    return refuse("its step (day or month) differs from that of " + leader->shown(), "give all weather rasters by day, or all by month");
  if (leader->calendar() != stack.calendar())
    return refuse(fmt::format("its calendar ({}) differs from that of {} ({})", calendar_name(stack.calendar()), leader->shown(),
                              calendar_name(leader->calendar())),
                  "give all weather rasters in one calendar");
  const auto same_date = [&](const ModelDate& p, const ModelDate& q) {
    return stack.step() == Step::month ? p.year == q.year && p.month == q.month : p == q;
  };
  if (leader->dates().size() != stack.dates().size() || !same_date(leader->dates().front(), stack.dates().front()))
    return refuse(
        fmt::format("its dates ({} to {}) differ from those of {} ({} to {})", to_text(stack.dates().front()),
                    to_text(stack.dates().back()), leader->shown(), to_text(leader->dates().front()), to_text(leader->dates().back())),
        "cut all weather rasters to the same dates");
  return true;
}

std::optional<RasterStack> Opener::stack(const char* key, Quantity quantity) {
  const auto found = season_.rasters.find(key);
  if (found == season_.rasters.end()) return std::nullopt;
  auto stack = RasterStack::open({key, quantity, true}, found->second, log_);
  if (!stack || !agrees(*stack)) return std::nullopt;
  return stack;
}

void Opener::require_temperatures() {
  const bool extremes = has("tmin") && has("tmax");
  if (!extremes && has("tmin") != has("tmax"))
    log_.error(has("tmin") ? "season.toml (rasters.tmax)" : "season.toml (rasters.tmin)", "", "only one of tmin and tmax is given",
               "give both, or tmean with diurnal_range_c");
  else if (!extremes && !has("tmean"))
    log_.error("season.toml (rasters.tmin)", "", "there is no temperature raster", "give tmin and tmax, or tmean with diurnal_range_c");
  if (extremes && has("tmean")) log_.note("season.toml (rasters.tmean)", "", "is not used, since tmin and tmax are given", "");
  if (has("tmean") && !has("tmin") && !has("tmax")) {
    if (!season_.diurnal_range_c) {
      log_.error("season.toml (diurnal_range_c)", "", "only mean temperature is given, and the range between night and day is not stated",
                 "state diurnal_range_c, the mean of tmax less tmin in C");
    } else {
      out_.half_range_c = *season_.diurnal_range_c / 2;
      log_.declared("diurnal_range_c", fmt::format("{:g}", *season_.diurnal_range_c));
    }
  }
}

WeatherStacks Opener::open() {
  if (!has("rain"))
    log_.error("season.toml (rasters.rain)", "", "there is no rain raster",
               "name one by path in [rasters.rain], or use model = \"formulas\"");
  require_temperatures();
  out_.rain = stack("rain", Quantity::rain);
  out_.tmin = stack("tmin", Quantity::temperature);
  out_.tmax = stack("tmax", Quantity::temperature);
  if (!has("tmin") && !has("tmax")) out_.tmean = stack("tmean", Quantity::temperature);
  out_.wind = stack("wind", Quantity::wind);
  out_.humidity = stack("humidity", Quantity::humidity);
  out_.radiation = stack("radiation", Quantity::radiation);
  out_.et0 = stack("et0", Quantity::et0);
  if (out_.leader() != nullptr && out_.leader()->step() == Step::month) {
    out_.wet_days = stack("wet_days", Quantity::wet_days);
  } else if (has("wet_days")) {
    log_.warning("season.toml (rasters.wet_days)", "", "wet days are not used with daily weather", "leave it out, or give monthly weather");
  }
  if (out_.wind)
    log_.note(out_.wind->shown(), "", "wind is taken as measured 2 m above ground",
              "convert it first where it is not (FAO-56 equation 47)");
  return std::move(out_);
}

}  // namespace

const RasterStack* WeatherStacks::leader() const {
  for (const auto* stack : {&rain, &tmin, &tmax, &tmean, &wind, &humidity, &radiation, &et0, &wet_days})
    if (*stack) return &**stack;
  return nullptr;
}

WeatherStacks open_weather(const Season& season, InputLog& log) { return Opener(season, log).open(); }

}  // namespace rickyard
