#include "planner/crop/lane_block.h"

#include <algorithm>
#include <cmath>

#include "planner/crop/lane_kernel.h"
#include "planner/crop/lane_weather.h"
#include "planner/crop/yield_response.h"

namespace rickyard {
namespace {

std::int16_t mark(int day) { return static_cast<std::int16_t>(day); }
std::size_t index(int day) { return static_cast<std::size_t>(day); }

// What a block writes over and over; each thread keeps its own, for fresh pages are dear.
struct Scratch {
  LaneWeather weather;
  LaneFallow fallow;
  LaneCanopy canopy;
  LaneGrowth growth;
};
Scratch& scratch_of_thread() {
  thread_local Scratch scratch;
  return scratch;
}

class LaneBlock {
 public:
  LaneBlock(const CropWork& work, const CanopyTable& table, std::size_t block, const std::vector<CropSink>& sinks)
      : work_(work),
        table_(table),
        first_(block * kLanes),
        units_(work.block(block)),
        reader_(work.land, units_, work.reader, work.reader_known),
        sinks_(sinks) {
    set_soils();
  }

  void run() {
    const auto& windows = work_.windows;
    if (work_.splice) begin_season_in_hand();
    const bool carry = work_.run_on() && !work_.splice, kept = carry && work_.water.kept, grow_own = carry && !kept;
    for (std::size_t y = 0; y < windows.size(); ++y) {
      read(windows[y], work_.splice ? &work_.splice->days[y] : nullptr);
      if (kept) start_as_kept(y);
      if (y == 0 && grow_own) own_crop(windows[y]);
      if (grow_own) note_start(y);
      begin_season(windows[y]);
      for (std::size_t r = 0; r < work_.runs.size(); ++r) season(r, y);
      if (grow_own) next_start(windows[y]);
    }
    if (grow_own) note_start(windows.size());
  }

 private:
  // A crop of the season at hand on every lane.
  struct Crop {
    FieldPlan plan;
    std::array<CropRecord, kLanes> records;
    Lanes sown, emerged;
    int first_up = 0, last_ripe = -1;  // over lanes: first emergence; last ripeness, or the season's last day
  };

  void set_soils();
  void read(const SeasonWindow& window, const std::vector<SplicedDay>* spliced) {
    reader_.read(window, spliced, work_.settings, weather_);
    light_known_.clear();
  }
  void begin_season(const SeasonWindow& window);
  void fallow_to(int day) {
    if (day >= fallow_.next)
      lane_kernel::fallow(work_.settings, soil_, weather_, std::min(day, window_->days - 1), window_->autumn, window_->winter_end, fallow_);
  }
  bool workable(int day, std::size_t lane) const { return (fallow_.workable[index(day)] >> lane & 1U) != 0; }
  void sow(Crop& crop);
  int sowing_day(const FieldPlan& plan, std::size_t lane);
  void develop(Crop& crop);
  void harvest(Crop& crop);
  void harvest_lane(CropRecord& record, std::size_t lane) const;
  void grow_water(Crop& crop, int to);
  void stand_on(const Crop& crop, int to);
  void finish_lane(CropRecord& record, std::size_t lane) const;
  double winter_drainage_mm(const CropRecord& record, std::size_t lane);
  double deficit_of(const CropRecord& record, std::size_t lane) const;
  double planned_light(const FieldPlan& plan, std::size_t lane);
  void season(std::size_t run, std::size_t year);
  void own_crop(const SeasonWindow& window) {
    begin_season(window);
    next_start(window);
  }
  void next_start(const SeasonWindow& window);
  std::size_t place_of_start(std::size_t season, std::size_t lane) const {
    return CropRecords::place_of(work_.units.size(), work_.seasons + 1, season, first_ + (lane < units_.size() ? lane : 0));
  }
  void start_as_kept(std::size_t season);
  void note_start(std::size_t season) const;
  void begin_season_in_hand();

  const CropWork& work_;
  const CanopyTable& table_;
  std::size_t first_;  // of its units among those of the work
  std::vector<int> units_;
  LaneSoil soil_;
  LaneWater start_;
  LaneReader reader_;
  const SeasonWindow* window_ = nullptr;
  Scratch& scratch_ = scratch_of_thread();
  LaneWeather& weather_ = scratch_.weather;
  LaneFallow& fallow_ = scratch_.fallow;
  LaneCanopy& canopy_ = scratch_.canopy;
  LaneGrowth& growth_ = scratch_.growth;
  struct PlannedLight {
    int planned;
    double thermal_factor;
    Lanes light_mj;
  };
  std::vector<PlannedLight> light_known_;  // of this season
  const std::vector<CropSink>& sinks_;
};

void LaneBlock::set_soils() {
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    const SoilColumn c = work_.column(units_[lane < units_.size() ? lane : 0]);
    soil_.wilting[lane] = c.wilting;
    soil_.field_capacity[lane] = c.field_capacity;
    soil_.saturation[lane] = c.saturation;
    soil_.shallow_m[lane] = c.shallow_m;
    soil_.full_m[lane] = c.full_m;
    soil_.drain_mm_day[lane] = c.drain_mm_day;
    soil_.evaporation_m[lane] = c.evaporation_m;
    soil_.tew_mm[lane] = c.tew_mm;
    soil_.rew_mm[lane] = c.rew_mm;
    soil_.retention_mm[lane] = c.retention;
    soil_.workable_frac[lane] = c.workable_frac;
    const SoilWater water = at_field_capacity(c);
    start_.root_mm[lane] = water.root_mm;
    start_.lower_mm[lane] = water.lower_mm;
    start_.depth_m[lane] = water.root_depth_m;
    start_.surface_mm[lane] = water.surface_depletion_mm;
  }
}

void LaneBlock::begin_season(const SeasonWindow& window) {
  window_ = &window;
  const auto days = index(window.days);
  if (fallow_.water.size() < days + 1) fallow_.water.resize(days + 1);
  fallow_.workable.assign(days, 0);
  fallow_.next = window.begin;
  int first = season_day(work_.season, window.harvest_year, work_.own.planned);
  for (const CropRun& run : work_.runs) {
    const FieldPlan plan = work_.plan(run, window.harvest_year);
    first = std::min({first, plan.planned, plan.sown_on >= 0 ? plan.sown_on : plan.planned});
  }
  fallow_.watch_from = std::max(first - 1, window.begin);
  start_.winter_mm = {};
  fallow_.water[index(window.begin)] = start_;
  for (LaneDays* series : {&fallow_.past_ready_mm, &fallow_.asked_mm, &canopy_.thermal_cd, &canopy_.kcb, &canopy_.cover, &canopy_.depth_m,
                           &growth_.et_sum, &growth_.etc_sum, &growth_.waterlogged_sum, &growth_.past_ready_mm, &growth_.asked_mm})
    if (series->size() < days) series->resize(days);
}

// As FieldSeason::sow_if_fit: the day on which drilling comes to this part of the area, a known day, or the end of the wait; -1 where
// the season ends first.
int LaneBlock::sowing_day(const FieldPlan& plan, std::size_t lane) {
  const int days = window_->days, due = plan.planned + plan.wait_days;
  if (plan.sown_on >= 0) {
    if (plan.sown_on < window_->begin || plan.sown_on >= days) return -1;
    fallow_to(plan.sown_on);
    return plan.sown_on;
  }
  int drilled = 0;
  for (int day = std::max(plan.planned, window_->begin); day < days; ++day) {
    fallow_to(day);
    if (workable(day, lane) && (drilled > 0 || (day > window_->begin && workable(day - 1, lane))) && ++drilled >= plan.drilled_after)
      return day;
    if (day == due) return day;
  }
  return -1;
}

void LaneBlock::sow(Crop& crop) {
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    auto& record = crop.records[lane];
    record = {};
    const int day = lane < units_.size() ? sowing_day(crop.plan, lane) : crop.records[0].sown;
    record.sown = mark(day);
    if (day >= 0) record.sowing_factor = workable(day, lane) ? 1 : 1 - work_.settings.sowing.wet_loss;
    crop.sown[lane] = day;
  }
}

// Stages: the first day on which thermal time reaches them.
void LaneBlock::develop(Crop& crop) {
  int first = window_->days;
  for (std::size_t lane = 0; lane < kLanes; ++lane)
    if (crop.sown[lane] >= 0) first = std::min(first, static_cast<int>(crop.sown[lane]));
  canopy_.from = first;
  lane_kernel::canopy(work_.settings, table_, soil_, weather_, crop.plan.thermal_factor, crop.sown, canopy_);
  const auto& stages = work_.settings.stages;
  crop.first_up = window_->days;
  crop.last_ripe = -1;
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    auto& record = crop.records[lane];
    crop.emerged[lane] = -1;
    if (record.sown < 0) continue;
    int day = record.sown + 1;
    const auto reached = [&](double thermal_cd) {
      while (day < canopy_.to && canopy_.thermal_cd[index(day)][lane] < thermal_cd) ++day;
      return mark(day < canopy_.to ? day : -1);
    };
    record.emerged = reached(stages.emergence_cd);
    record.stem_extension = reached(stages.stem_extension_cd);
    record.heading = reached(stages.heading_cd);
    record.ripe = reached(stages.ripeness_cd);
    crop.emerged[lane] = record.emerged;
    if (record.emerged < 0) continue;
    crop.first_up = std::min(crop.first_up, static_cast<int>(record.emerged));
    crop.last_ripe = std::max(crop.last_ripe, record.ripe >= 0 ? static_cast<int>(record.ripe) : window_->days - 1);
  }
}

// As FieldSeason::ripen, from the day after ripeness to the end of the window.
void LaneBlock::harvest_lane(CropRecord& record, std::size_t lane) const {
  const auto& rules = work_.settings.harvest;
  double moisture = rules.moisture_ripe_pct, rain_before = weather_.rain_mm[index(record.ripe)][lane];
  for (int day = record.ripe + 1; day < window_->days; ++day) {
    const bool standing = record.harvested < 0, in_window = day <= record.ripe + rules.window_days;
    if (!standing && !in_window) break;
    const auto t = index(day);
    const double rain = weather_.rain_mm[t][lane], settled = weather_.settled_pct[t][lane];
    const double wet = std::max(moisture, std::min(moisture + rules.rewet_pct_per_mm * rain, rules.rewet_max_pct));
    moisture = settled + (wet - settled) * weather_.drying[t][lane];
    const bool fit = rain < rules.rain_max_mm && rain_before < rules.rain_before_max_mm &&
                     weather_.humidity_pct[t][lane] < rules.humidity_max_pct && moisture <= rules.moisture_max_pct;
    rain_before = rain;
    if (fit && in_window) ++record.combine_days;
    if (!standing) continue;
    if (fit || day >= record.ripe + rules.window_days) {
      record.harvested = mark(day);
      record.grain_moisture_pct = moisture;
      continue;
    }
    record.rain_harvest_mm += rain;
    record.wet_days_harvest += rain >= rules.wet_day_mm ? 1 : 0;
  }
}

void LaneBlock::harvest(Crop& crop) {
  int first = window_->days, last = -1;
  for (const auto& record : crop.records)
    if (record.ripe >= 0) {
      first = std::min(first, record.ripe + 1);
      last = std::max(last, record.ripe + static_cast<int>(std::ceil(work_.settings.harvest.window_days)));
    }
  const int to = std::min(last + 1, window_->days);
  if (first >= to) return;
  // Days that an earlier crop has not asked for.
  if (weather_.harvest_to == weather_.harvest_from) {
    weather_.harvest_from = weather_.harvest_to = first;
  }
  if (first < weather_.harvest_from) {
    lane_kernel::weather_of_harvest(work_.settings.harvest, first, weather_.harvest_from, weather_);
    weather_.harvest_from = first;
  }
  if (to > weather_.harvest_to) {
    lane_kernel::weather_of_harvest(work_.settings.harvest, weather_.harvest_to, to, weather_);
    weather_.harvest_to = to;
  }
  for (std::size_t lane = 0; lane < units_.size(); ++lane)
    if (crop.records[lane].ripe >= 0) harvest_lane(crop.records[lane], lane);
}

void LaneBlock::grow_water(Crop& crop, int to) {
  if (crop.first_up >= to) return;
  for (std::size_t lane = 0; lane < kLanes; ++lane)
    if (crop.records[lane].emerged >= 0) fallow_to(crop.records[lane].emerged - 1);
  growth_.water = fallow_.water[index(crop.first_up)];
  lane_kernel::growth(work_.settings, soil_, weather_, fallow_, canopy_, crop.emerged, crop.first_up, to, window_->autumn,
                      window_->winter_end, growth_);
}

// Days before the crop was up are those of bare soil.
double LaneBlock::deficit_of(const CropRecord& record, std::size_t lane) const {
  const auto of = [&](const LaneDays& bare, const LaneDays& grown) {
    return [&, lane](int day) { return (day < record.emerged ? bare : grown)[index(day)][lane]; };
  };
  return potential_deficit_mm(window_->begin, record.ripe, of(fallow_.past_ready_mm, growth_.past_ready_mm),
                              of(fallow_.asked_mm, growth_.asked_mm));
}

double LaneBlock::planned_light(const FieldPlan& plan, std::size_t lane) {
  for (const auto& known : light_known_)
    if (known.planned == plan.planned && known.thermal_factor == plan.thermal_factor) return known.light_mj[lane];
  PlannedLight made{plan.planned, plan.thermal_factor, {}};
  Lanes sown;
  sown.v.fill(plan.planned >= window_->begin ? plan.planned : -1);
  lane_kernel::light(work_.settings, table_, weather_, plan.thermal_factor, sown, made.light_mj);
  light_known_.push_back(made);
  return made.light_mj[lane];
}

void LaneBlock::finish_lane(CropRecord& r, std::size_t lane) const {
  const auto& s = work_.settings;
  const int days = window_->days;
  // Running sums start at emergence; a stage that is not reached lasts to the season's end.
  const auto end_of = [&](std::int16_t stage) { return stage >= 0 ? static_cast<int>(stage) : days; };
  const auto sum_before = [&](const LaneDays& sums, int day) { return day > r.emerged ? sums[index(day - 1)][lane] : 0.0; };
  r.water_factor = 1;
  if (r.emerged >= 0) {
    const std::array<int, 4> bounds = {r.emerged, end_of(r.stem_extension), end_of(r.heading), end_of(r.ripe)};
    for (std::size_t stage = 0; stage < 3; ++stage) {
      const double et = sum_before(growth_.et_sum, bounds[stage + 1]) - sum_before(growth_.et_sum, bounds[stage]);
      const double etc = sum_before(growth_.etc_sum, bounds[stage + 1]) - sum_before(growth_.etc_sum, bounds[stage]);
      if (bounds[stage + 1] > bounds[stage]) r.water_factor *= water_yield_factor(s.yield.ky[stage], et, etc);
    }
    r.waterlogged_days = mark(static_cast<int>(sum_before(growth_.waterlogged_sum, end_of(r.heading))));
    const auto counted = [&](const LaneDays& sums, int first, int last) {  // over days first .. last
      return last < first ? 0.0 : sums[index(last)][lane] - (first > window_->begin ? sums[index(first - 1)][lane] : 0.0);
    };
    if (r.heading >= 0) r.heat_degree_days = counted(weather_.heat_sum, r.heading, end_of(r.ripe) - 1);
    int first = r.emerged, last = end_of(r.ripe) - 1;
    const auto thermal = [&](int day) { return canopy_.thermal_cd[index(day)][lane]; };
    while (first <= last && s.stages.heading_cd - thermal(first) > s.yield.frost_window_cd) ++first;
    while (last >= first && thermal(last) - s.stages.heading_cd > s.yield.frost_window_cd) --last;
    r.frost_nights = mark(static_cast<int>(counted(weather_.frost_sum, first, last)));
    if (r.ripe >= 0) r.deficit_fill_mm = deficit_of(r, lane);
  }
  r.duration = duration_of(s.light, canopy_.light_mj[lane]);
  set_yield(s, r);
  const auto rain_to = [&](int day) { return day < window_->begin ? 0.0 : weather_.rain_sum[index(std::min(day, days - 1))][lane]; };
  r.rain_mm = rain_to(days - 1);
  r.rain_apr_jul_mm = rain_to(window_->summer_end) - rain_to(window_->winter_end);
}

// Of bare soil to the end of winter, or of the crop where it is up before.
double LaneBlock::winter_drainage_mm(const CropRecord& record, std::size_t lane) {
  const int last = std::min(window_->winter_end, window_->days - 1);
  if (record.emerged >= 0 && record.emerged <= last) return growth_.water.winter_mm[lane];
  fallow_to(last);
  return fallow_.water[index(last + 1)].winter_mm[lane];
}

void LaneBlock::season(std::size_t run, std::size_t year) {
  Crop crop;
  crop.plan = work_.plan(work_.runs[run], window_->harvest_year);
  sow(crop);
  develop(crop);
  harvest(crop);
  int to = crop.last_ripe + 1;
  if (crop.first_up <= window_->winter_end) {
    // Of what follows ripeness only the winter's drainage counts.
    to = std::max(to, std::min(window_->winter_end + 1, window_->days));
    stand_on(crop, to);
  }
  grow_water(crop, to);
  for (std::size_t lane = 0; lane < units_.size(); ++lane) {
    auto& record = crop.records[lane];
    finish_lane(record, lane);
    record.duration_planned = duration_of(work_.settings.light, planned_light(crop.plan, lane));
    record.drainage_winter_mm = winter_drainage_mm(record, lane);
    sinks_[run].records[CropRecords::place_of(work_.units.size(), work_.windows.size(), year, first_ + lane)] = record;
  }
}

// Canopies of the days after ripeness: stubble-to-be until the harvest day, then bare soil.
void LaneBlock::stand_on(const Crop& crop, int to) {
  const auto& water = work_.settings.water;
  int first = to;
  for (std::size_t lane = 0; lane < units_.size(); ++lane)
    if (crop.records[lane].ripe >= 0) first = std::min(first, crop.records[lane].ripe + 1);
  for (int day = std::min(first, canopy_.to); day < to; ++day)
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      const auto& record = crop.records[lane < units_.size() ? lane : 0];
      if (day < canopy_.to && (record.ripe < 0 || day <= record.ripe)) continue;
      const bool stands = record.ripe >= 0 && (record.harvested < 0 || day <= record.harvested);
      canopy_.kcb[index(day)][lane] = stands ? water.kcb_end : water.kcb_fallow;
      canopy_.cover[index(day)][lane] = 0;
      canopy_.depth_m[index(day)][lane] = (stands ? soil_.full_m : soil_.shallow_m)[lane];
    }
}

// The water that the land's own crop and its stubble leave for the next season.
void LaneBlock::next_start(const SeasonWindow& window) {
  Crop crop;
  crop.plan = work_.plan(work_.own, window.harvest_year);
  sow(crop);
  develop(crop);
  harvest(crop);
  const int to = window.carry + 1;
  stand_on(crop, to);
  grow_water(crop, to);
  const LaneWater grown = growth_.water;
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    // A crop that was not up by then leaves bare soil.
    const bool up = crop.emerged[lane] >= 0 && crop.emerged[lane] < to;
    if (!up) fallow_to(to - 1);
    const LaneWater& left = up ? grown : fallow_.water[index(to)];
    for (Lanes LaneWater::*figure : {&LaneWater::root_mm, &LaneWater::lower_mm, &LaneWater::depth_m, &LaneWater::surface_mm})
      (start_.*figure)[lane] = (left.*figure)[lane];
  }
}

void LaneBlock::start_as_kept(std::size_t season) {
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    const SoilWater& water = work_.water.kept[place_of_start(season, lane)];
    start_.root_mm[lane] = water.root_mm;
    start_.lower_mm[lane] = water.lower_mm;
    start_.depth_m[lane] = water.root_depth_m;
    start_.surface_mm[lane] = water.surface_depletion_mm;
  }
}

void LaneBlock::note_start(std::size_t season) const {
  for (std::size_t lane = 0; work_.water.noted && lane < units_.size(); ++lane)
    work_.water.noted[place_of_start(season, lane)] = {start_.root_mm[lane], start_.lower_mm[lane], start_.depth_m[lane],
                                                       start_.surface_mm[lane]};
}

// The soil water that the season in hand begins with, left by the seasons before it.
void LaneBlock::begin_season_in_hand() {
  const auto& before = work_.splice->before;
  std::size_t done = 0;
  if (work_.water.kept) {
    // Whole seasons of the archive, the first ones of it.
    done = static_cast<std::size_t>(std::count_if(work_.windows.begin(), work_.windows.end(), [&](const SeasonWindow& window) {
      return window.harvest_year < work_.splice->season.harvest_year;
    }));
    if (done > 0) start_as_kept(done);
  }
  for (std::size_t w = work_.run_on() ? done : before.size(); w < before.size(); ++w) {
    read(before[w], nullptr);
    for (int pass = w == 0 ? 0 : 1; pass < 2; ++pass) own_crop(before[w]);
  }
  reader_.know(*work_.splice);
}

}  // namespace

void grow_block(const CropWork& work, const CanopyTable& table, std::size_t block, const std::vector<CropSink>& sinks) {
  LaneBlock(work, table, block, sinks).run();
}

}  // namespace rickyard
