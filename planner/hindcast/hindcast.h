#pragma once
// Past seasons as they would have been forecast, beside what came, with scores.
#include <optional>
#include <string>
#include <vector>

#include "planner/base/calendar.h"
#include "planner/base/range.h"
#include "planner/hindcast/season_scores.h"

namespace rickyard {

enum class HindcastKind {
  deliveries,  // scored against what was really delivered
  self_test    // against the model's own harvest of the year and a draw of its own residuals: checks the machinery, no evidence of skill
};
enum class Quantity { qualifying, delivered };

/// A date on which seasons are forecast.
struct HindcastDate {
  std::string name;  // "sowing" or "MM-DD"
  MonthDay day;
};

/// A forecast quantity of one season and what came. t at 14.5 % moisture.
struct HindcastFigure {
  Range forecast_t;
  std::optional<double> came_t;
  std::optional<SeasonScore> score;        // where it came
  std::optional<double> five_year_mean_t;  // of the record, on the season's hectares
};

/// One region (or all together) in one season, forecast on one date.
struct HindcastRow {
  int year = 0;
  int date = 0;  // index into Hindcast::dates
  Date as_of{boost::date_time::not_a_date_time};
  std::string region;  // empty: all regions that were scored in this season together (all contracted ones where none was)
  double planted_ha = 0;
  std::optional<double> limit_n_pct;  // in force then; empty for a total over several limits
  HindcastFigure delivered, qualifying;
  Range n_pct;  // forecast, of all grain; of several regions by their tonnes
  std::optional<double> came_n_pct;
  // What came less the mean forecast of qualifying tonnes, in two parts: tonnes that the field gave or withheld, at the share that was
  // forecast to qualify; and the share that qualified, on the tonnes that came.
  std::optional<double> field_t, intake_t;
  std::string lost_to;  // "nothing", "field", "limit", "other points", "limit or other points"; empty where nothing was scored
};

/// Scores of one region (or all together) over its seasons, on one date.
struct HindcastScores {
  int date = 0;
  std::string region;  // empty: total
  Quantity of = Quantity::qualifying;
  Scores scores;
};

/// A grower's season: tonnes delivered.
struct GrowerRow {
  std::string region, grower;
  int year = 0, date = 0;
  double planted_ha = 0;
  HindcastFigure delivered;
};
struct GrowerScores {
  std::string region, grower;
  int date = 0;
  Scores scores;
};

struct Hindcast {
  HindcastKind kind = HindcastKind::self_test;
  std::vector<HindcastDate> dates;
  std::vector<int> years;                // forecast, ascending
  std::vector<std::string> regions;      // contracted, in the order of their first row
  Quantity main = Quantity::qualifying;  // what the headline speaks of
  std::vector<HindcastRow> rows;         // by year, date, region; the total last
  std::vector<HindcastScores> scores;    // by date, quantity, region; the total last
  std::vector<GrowerRow> growers;
  std::vector<GrowerScores> grower_scores;
  int units = 0, units_of_land = 0;  // land units grown, and there are; 0 with formulas
  std::vector<std::string> notes;    // what was left out, and why
  /// The scores that the verdict of the whole stands on: the total of the main quantity on the first date. Null where nothing was scored.
  const HindcastScores* headline() const {
    for (const auto& one : scores)
      if (one.date == 0 && one.region.empty() && one.of == main) return &one;
    return nullptr;
  }
};

}  // namespace rickyard
