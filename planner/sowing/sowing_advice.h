#pragma once
// What a grower liaison asks about sowing, for one region or one weather cell. Plain structs; sowing_document.h carries them.
// Percentages 0-100, shares 0-1, t/ha on harvested area at 14.5 % moisture. Ranges are over weather years with their weights: the
// year-to-year spread that weather does not explain is in the plan, not here.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "planner/base/calendar.h"
#include "planner/base/range.h"

namespace rickyard {

/// Dates of the crop year that are passed in 10, 50 and 90 % of weather years; empty where so many never reach it.
struct DateSpread {
  std::optional<Date> p10, p50, p90;
};

/// Share of the region's area drilled by a date when drilling starts as soon as the soil lets it.
struct DrillingPoint {
  Date date{boost::date_time::not_a_date_time};
  double slow = 0, middle = 0, fast = 0;  // springs: 1 in 10 is behind slow, 1 in 10 ahead of fast
};

/// One past spring, its dates moved to the crop year by month and day.
struct SpringYear {
  int year = 0;
  std::optional<Date> first_workable, half_sown;
  double workable_days = 0;  // from sow_earliest to count_to
};

/// When the land can be worked (METHODS.md, "Sowing").
struct SpringOutlook {
  Date from{boost::date_time::not_a_date_time}, count_to{boost::date_time::not_a_date_time};  // sow_earliest; 30 April
  DateSpread first_workable;                                                                  // half of the area has had it
  double never_share = 0;  // weight of the springs in which half of the area never had it
  Range workable_days;
  DateSpread half_sown, nine_tenths_sown;
  std::vector<DrillingPoint> progress;
  std::vector<SpringYear> years;
  std::string rule;  // the rule of a workable day with its numbers
};

/// One way of sowing at one date.
struct SowingResult {
  DateSpread sown, heading, ripe, harvested;
  double wet_seedbed_share = 0;  // of area and years: sown on a day that was not workable
  Range yield_t_ha, n_pct, screenings_pct;
  Range n_share;           // of the grain: nitrogen between floor and stop
  Range qualifying_share;  // of the grain: every point met
  Range qualifying_t_ha;
  // Harvest weather; empty with model = formulas.
  std::optional<Range> combine_days, wet_days, moisture_pct;
  double late_share = 0, late_failure_points = 0;  // means: of the crop cut late; points of failure that it adds
  std::vector<double> qualifying_t_ha_by_year;     // in the order of SowingAdvice::years
};

/// Differences of means.
struct SowingChange {
  double yield_pct = 0;  // % of the yield compared with
  double n_pct = 0, n_share = 0, qualifying_share = 0, qualifying_t_ha = 0;
};

struct SowingDate {
  Date date{boost::date_time::not_a_date_time};
  bool planned = false;                         // the contract's planned date
  bool past = false;                            // on or before as_of
  std::optional<double> workable_days_to_next;  // mean, from the date to the day before the next one tried; the last: 7 days
  std::optional<Range> workable_days_left;      // from the date to count_to; empty with formulas
  SowingResult wait;                            // one field, sown on the first workable date on or after the date
  SowingResult at_once;                         // the same field sown that very day whatever the soil
  SowingChange against_planned;                 // wait here less wait at the planned date
  SowingChange cost_of_not_waiting;             // at_once less wait, on this date
  std::optional<SowingChange> next_week;        // wait at the next date less wait here, scaled to seven days
};

struct LastSensible {
  Date date{boost::date_time::not_a_date_time}, best{boost::date_time::not_a_date_time};
  double share_of_best = 0;
  bool beyond = false;  // every later date tried is sensible too
  std::string reason;
};

/// How far the weather known so far has narrowed the planned date's range.
struct KnownSoFar {
  Date through{boost::date_time::not_a_date_time};
  Range yield_before_t_ha, yield_now_t_ha, qualifying_before_t_ha, qualifying_now_t_ha;
  bool narrower = false;  // P90 - P10 of qualifying t/ha
  std::string words;
};

/// Means over weather years at one nitrogen rate, for one answer of grain nitrogen to it.
struct RateEffect {
  double n_pct = 0, n_share = 0, qualifying_share = 0, accepted_t_ha = 0;
};

struct RateRow {
  double n_rate_kg_ha = 0, change_kg_ha = 0;
  double yield_t_ha = 0;
  bool at_table_end = false;        // the table's yields end here
  RateEffect middle, strong, weak;  // n_rate_kg_per_tenth; _low (strong answer); _high (weak answer)
};

/// Arithmetic on the nitrogen rate; no dose.
struct RateWhatIf {
  double n_rate_kg_ha = 0;  // of the contract row, or the reference rate
  double kg_per_tenth = 30, kg_per_tenth_strong = 15, kg_per_tenth_weak = 50, kg_per_t = 20;
  std::vector<RateRow> rows;
  double best_middle_kg_ha = 0, best_strong_kg_ha = 0, best_weak_kg_ha = 0;  // most accepted t/ha among the rows
  std::string words;
};

struct SowingAdvice {
  std::string region, name, contract, origin;
  std::optional<std::array<double, 2>> at;  // lon, lat asked for: the weather cell there instead of the whole region
  Date sow_earliest{boost::date_time::not_a_date_time}, sow_planned{boost::date_time::not_a_date_time},
      sow_latest{boost::date_time::not_a_date_time};
  std::optional<Date> sown;                            // where it is known already
  double stated_yield_t_ha = 0, field_yield_t_ha = 0;  // of the contract row: as stated; of the whole field
  std::string yield_basis;                             // "whole_field" or "in_field"
  std::vector<int> years;
  std::vector<double> weights;
  std::optional<SpringOutlook> spring;  // absent with model = formulas
  std::vector<SowingDate> dates;        // ascending
  std::optional<LastSensible> last_sensible;
  std::optional<KnownSoFar> known;
  RateWhatIf n_rate;
  std::vector<std::string> drivers;  // the two largest losses at the planned date, in words
  std::vector<std::string> notes;
};

}  // namespace rickyard
