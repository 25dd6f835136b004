#include "planner/sowing/spring_outlook.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "planner/crop/crop_settings.h"
#include "planner/crop/season_windows.h"

namespace rickyard {
namespace {

// Days from season_start of the year before `harvest_year` to the last day of the season's month `months`.
int last_day_of_month(const Season& season, int harvest_year, int months) {
  const MonthDay& start = season.season_start;
  const Month month = add_months({harvest_year - 1, start.month}, months);
  return day_number(in_year({month.month, start.day}, month.year)) - day_number(in_year(start, harvest_year - 1)) - 1;
}

// One spring at one place: every unit from its own season day of sow_earliest on.
class Spring {
 public:
  Spring(const Season& season, const SowingPlace& place, const SpringWork& work, std::size_t year)
      : place_(place), work_(work), year_(static_cast<int>(year)) {
    from_ = season_day(season, work.harvest_years[year], month_day(place.earliest));
    drilling_days_ = season.parameters["drilling_days"];
    for (std::size_t k = 0; k < place.units.size(); ++k) first_.push_back(work.first_workable(year_, static_cast<int>(k), from_));
  }

  // Days after sow_earliest until half of the area has had its first workable date; -1 where it never has.
  int first_workable() const {
    for (int day = from_; day < work_.days; ++day) {
      double area = 0;
      for (std::size_t k = 0; k < first_.size(); ++k) area += first_[k] >= 0 && first_[k] <= day ? place_.share[k] : 0;
      if (area >= kHalf) return day - from_;
    }
    return -1;
  }

  double workable_days(int from, int to) const {
    double days = 0;
    for (std::size_t k = 0; k < first_.size(); ++k) days += place_.share[k] * work_.count(year_, static_cast<int>(k), from, to);
    return days;
  }

  // Share of the area drilled by the evening of each day from sow_earliest on.
  std::vector<double> progress() const {
    std::vector<double> share(static_cast<std::size_t>(std::max(work_.days - from_, 0)), 0);
    for (std::size_t k = 0; k < first_.size(); ++k) {
      int drilled = 0;
      for (int day = from_; day < work_.days; ++day) {
        if (first_[k] >= 0 && day >= first_[k] && work_.workable(year_, static_cast<int>(k), day)) ++drilled;
        share[static_cast<std::size_t>(day - from_)] += place_.share[k] * std::min(drilled / drilling_days_, 1.0);
      }
    }
    return share;
  }

  int from() const { return from_; }

  static constexpr double kHalf = 0.5 - 1e-9;

 private:
  const SowingPlace& place_;
  const SpringWork& work_;
  int year_, from_ = 0;
  double drilling_days_ = 1;
  std::vector<int> first_;  // [unit] season day, -1 never
};

// Days after sow_earliest at which a share is reached; -1 where it never is.
int reached(const std::vector<double>& progress, double share) {
  const auto at = std::find_if(progress.begin(), progress.end(), [&](double drilled) { return drilled >= share - 1e-9; });
  return at == progress.end() ? -1 : static_cast<int>(at - progress.begin());
}

std::optional<Date> after(const Date& earliest, double days) {
  if (days < 0) return std::nullopt;
  return earliest + boost::gregorian::days(static_cast<long>(std::floor(days + 0.5)));
}

// Days after sow_earliest, -1 where never, as dates at the three quantiles; never counts as beyond every date.
DateSpread spread_of(const Date& earliest, const std::vector<int>& days, const std::vector<double>& weights, int beyond) {
  std::vector<double> values;
  for (int day : days) values.push_back(day < 0 ? beyond : day);
  const auto at = [&](double p) -> std::optional<Date> {
    const double day = weighted_quantile(values, weights, p);
    return day >= beyond ? std::nullopt : after(earliest, day);
  };
  return {at(0.1), at(0.5), at(0.9)};
}

std::string rule_words(const Season& season) {
  const auto& p = season.parameters;
  return fmt::format(
      "A day is workable when the soil (lagged air temperature) has been at {:g} C or more for three days running, rain of the day is "
      "under {:g} mm, the day's mean is above {:g} C, and the topsoil holds at most {:.2f} (sand), {:.2f} (loam) or {:.2f} (clay) of field "
      "capacity. Drilling starts on the second workable day in a row, counted on every soil by itself; a region's date is the day on "
      "which half of its area has started. Drilling then takes {:g} workable days: share drilled = workable days since the start / {:g}, "
      "at "
      "most 1.",
      p["sow_soil_temperature_c"], p["sow_rain_max_mm"], p["sow_frozen_c"], p["sow_wetness_sand"], p["sow_wetness_loam"],
      p["sow_wetness_clay"], p["drilling_days"], p["drilling_days"]);
}

}  // namespace

int spring_days(const Season& season) {
  constexpr int kMonths = 10;
  // A leap year's season is a day longer: room for either.
  return std::max(last_day_of_month(season, 2004, kMonths), last_day_of_month(season, 2005, kMonths)) + 1;
}

int count_to_day(const Season& season, int harvest_year) { return last_day_of_month(season, harvest_year, 8); }

SpringOutlook spring_outlook(const Season& season, const SowingPlace& place, const SpringWork& work, const std::vector<double>& weights) {
  SpringOutlook out;
  out.rule = rule_words(season);
  out.from = place.earliest;
  out.count_to = in_year(season.season_start, season.crop_year - 1) + boost::gregorian::days(count_to_day(season, season.crop_year));
  std::vector<int> first, half, nine_tenths;
  std::vector<double> workable;
  std::vector<std::vector<double>> progress;
  std::size_t shortest = static_cast<std::size_t>(work.days);
  for (std::size_t y = 0; y < work.harvest_years.size(); ++y) {
    const Spring spring(season, place, work, y);
    first.push_back(spring.first_workable());
    workable.push_back(spring.workable_days(spring.from(), count_to_day(season, work.harvest_years[y])));
    progress.push_back(spring.progress());
    half.push_back(reached(progress.back(), 0.5));
    nine_tenths.push_back(reached(progress.back(), 0.9));
    shortest = std::min(shortest, progress.back().size());
    if (first.back() < 0) out.never_share += weights[y];
    out.years.push_back({work.harvest_years[y], after(place.earliest, first.back()), after(place.earliest, half.back()), workable.back()});
  }
  out.first_workable = spread_of(place.earliest, first, weights, work.days);
  out.half_sown = spread_of(place.earliest, half, weights, work.days);
  out.nine_tenths_sown = spread_of(place.earliest, nine_tenths, weights, work.days);
  out.workable_days = weighted_range(workable, weights);
  for (const Date& date : dates_tried(season, place)) {
    const auto day = static_cast<std::size_t>((date - place.earliest).days());
    if (day >= shortest) break;
    std::vector<double> shares;
    for (const auto& year : progress) shares.push_back(year[day]);
    const Range range = weighted_range(shares, weights);
    out.progress.push_back({date, range.p10, range.p50, range.p90});
  }
  return out;
}

Range workable_days(const Season& season, const SowingPlace& place, const SpringWork& work, const std::vector<double>& weights,
                    const Date& from, const Date& to) {
  std::vector<double> days;
  for (std::size_t y = 0; y < work.harvest_years.size(); ++y) {
    const int first = season_day(season, work.harvest_years[y], month_day(from));
    const int last = season_day(season, work.harvest_years[y], month_day(to));
    days.push_back(Spring(season, place, work, y).workable_days(first, last));
  }
  return weighted_range(days, weights);
}

}  // namespace rickyard
