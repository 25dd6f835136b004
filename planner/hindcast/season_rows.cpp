#include "planner/hindcast/season_rows.h"

#include <algorithm>
#include <cmath>

#include "planner/base/blocks.h"
#include "planner/hindcast/grower_records.h"

namespace rickyard {
namespace {

using RegionSet = std::vector<std::size_t>;

const std::vector<double>& members_of(const SeasonMembers& members, std::size_t region, Quantity of) {
  return of == Quantity::qualifying ? members.regions[region].qualifying_t : members.regions[region].offered_t;
}

std::optional<double> came_of(const CameSeason& season, Quantity of) {
  return of == Quantity::qualifying ? season.qualifying_t : std::optional(season.delivered_t);
}

// Regions whose figure of a season is known.
RegionSet known_regions(const CameSeasons& came, int year, Quantity of) {
  RegionSet out;
  for (std::size_t r = 0; r < came.size(); ++r)
    if (const auto at = came[r].find(year); at != came[r].end() && came_of(at->second, of)) out.push_back(r);
  return out;
}

// What the regions of the set brought together in every season that all of them have, on the hectares of `season`.
std::vector<OtherSeason> record_of(const CameSeasons& came, const RegionSet& set, const ForecastSeason& season, Quantity of) {
  std::map<int, std::pair<double, std::size_t>> sums;
  for (std::size_t r : set)
    for (const auto& [year, one] : came[r])
      if (const auto t = came_of(one, of)) {
        sums[year].first += *t / one.level_ha * season.level_ha[r];
        sums[year].second += 1;
      }
  std::vector<OtherSeason> out;
  for (const auto& [year, sum] : sums)
    if (sum.second == set.size()) out.push_back({year, sum.first});
  return out;
}

HindcastFigure figure_of(const CameSeasons& came, const RegionSet& set, const ForecastSeason& season, std::size_t date, Quantity of) {
  SeasonCase one;
  one.year = season.year;
  one.weights = season.on[date].weights;
  one.members.assign(one.weights.size(), 0);
  for (std::size_t r : set)
    for (std::size_t m = 0; m < one.members.size(); ++m) one.members[m] += members_of(season.on[date], r, of)[m];
  HindcastFigure out;
  double t = 0;
  bool known = !set.empty();
  for (std::size_t r : set) {
    const auto at = came[r].find(season.year);
    const auto here = at == came[r].end() ? std::nullopt : came_of(at->second, of);
    known = known && here;
    t += here.value_or(0);
  }
  if (!known) {
    out.forecast_t = weighted_range(one.members, one.weights);
    return out;
  }
  out.came_t = one.observed = t;
  one.others = baselines(record_of(came, set, season, of), season.year);
  out.five_year_mean_t = one.others.five_year_mean;
  out.score = score_season(one);
  out.forecast_t = out.score->forecast;
  return out;
}

Range range_where_grown(const std::vector<double>& values, const std::vector<double>& weights) {
  std::vector<double> kept, kept_weights;
  for (std::size_t m = 0; m < values.size(); ++m)
    if (!std::isnan(values[m]) && weights[m] > 0) {
      kept.push_back(values[m]);
      kept_weights.push_back(weights[m]);
    }
  if (kept.empty()) return {std::nan(""), std::nan(""), std::nan(""), std::nan("")};
  return weighted_range(kept, kept_weights);
}

const char* lost_to(const HindcastRow& row) {
  const auto& delivered = row.delivered;
  if (!delivered.came_t) return "";
  if (!row.field_t) return *delivered.came_t < delivered.forecast_t.mean ? "field" : "nothing";
  if (*row.field_t + *row.intake_t >= 0) return "nothing";
  if (*row.field_t <= *row.intake_t) return "field";
  if (!row.came_n_pct || std::isnan(row.n_pct.mean)) return "limit or other points";
  return *row.came_n_pct > row.n_pct.mean ? "limit" : "other points";
}

// Where the tonnes went that were forecast to qualify and did not come.
void tell_losses(HindcastRow& row, bool same_regions) {
  const auto &d = row.delivered, &q = row.qualifying;
  if (same_regions && d.came_t && q.came_t && d.forecast_t.mean > 0) {
    const double share = q.forecast_t.mean / d.forecast_t.mean;
    row.field_t = (*d.came_t - d.forecast_t.mean) * share;
    row.intake_t = *q.came_t - *d.came_t * share;
  }
  row.lost_to = lost_to(row);
}

HindcastRow row_of(const ForecastSeason& season, std::size_t date) {
  HindcastRow row;
  row.year = season.year;
  row.date = static_cast<int>(date);
  row.as_of = season.as_of[date];
  return row;
}

HindcastRow region_row(const CameSeasons& came, const ForecastSeason& season, std::size_t date, std::size_t r, const std::string& region) {
  HindcastRow row = row_of(season, date);
  row.region = region;
  row.planted_ha = season.planted_ha[r];
  row.limit_n_pct = season.limit_n_pct[r];
  row.delivered = figure_of(came, {r}, season, date, Quantity::delivered);
  row.qualifying = figure_of(came, {r}, season, date, Quantity::qualifying);
  row.n_pct = range_where_grown(season.on[date].regions[r].n_pct, season.on[date].weights);
  row.came_n_pct = season.came_n_pct[r];
  tell_losses(row, true);
  return row;
}

// N of all grain of several regions, by their tonnes.
void tell_n(const CameSeasons& came, const RegionSet& set, const ForecastSeason& season, std::size_t date, HindcastRow& row) {
  const auto& members = season.on[date];
  std::vector<double> n(members.weights.size(), 0), t(members.weights.size(), 0);
  double came_n = 0, came_t = 0;
  bool known = true;
  for (std::size_t r : set) {
    for (std::size_t m = 0; m < n.size(); ++m) {
      const double offered = members.regions[r].offered_t[m];
      if (offered > 0) n[m] += offered * members.regions[r].n_pct[m];
      t[m] += offered;
    }
    const auto at = came[r].find(season.year);
    known = known && season.came_n_pct[r] && at != came[r].end();
    if (!known) continue;
    came_n += at->second.delivered_t * *season.came_n_pct[r];
    came_t += at->second.delivered_t;
  }
  for (std::size_t m = 0; m < n.size(); ++m) n[m] = t[m] > 0 ? n[m] / t[m] : std::nan("");
  row.n_pct = range_where_grown(n, members.weights);
  if (known && came_t > 0) row.came_n_pct = came_n / came_t;
}

HindcastRow total_row(const CameSeasons& came, const ForecastSeason& season, std::size_t date) {
  HindcastRow row = row_of(season, date);
  RegionSet all(came.size());
  for (std::size_t r = 0; r < all.size(); ++r) all[r] = r;
  RegionSet delivered = known_regions(came, season.year, Quantity::delivered);
  RegionSet qualifying = known_regions(came, season.year, Quantity::qualifying);
  if (delivered.empty()) delivered = all;
  if (qualifying.empty()) qualifying = delivered;
  row.limit_n_pct = season.limit_n_pct[delivered.front()];
  for (std::size_t r : delivered) {
    row.planted_ha += season.planted_ha[r];
    if (season.limit_n_pct[r] != row.limit_n_pct) row.limit_n_pct.reset();
  }
  row.delivered = figure_of(came, delivered, season, date, Quantity::delivered);
  row.qualifying = figure_of(came, qualifying, season, date, Quantity::qualifying);
  tell_n(came, delivered, season, date, row);
  tell_losses(row, delivered == qualifying);
  return row;
}

void add_scores(int date, Quantity of, const std::string& region, unsigned place, const Bootstrap& bootstrap, Hindcast& out) {
  std::vector<SeasonScore> seasons;
  for (const auto& row : out.rows) {
    const auto& figure = of == Quantity::qualifying ? row.qualifying : row.delivered;
    if (row.date == date && row.region == region && figure.score) seasons.push_back(*figure.score);
  }
  if (seasons.empty()) return;
  Bootstrap mine = bootstrap;
  mine.place = place;
  out.scores.push_back({date, region, of, score_seasons(seasons, mine, "t")});
}

}  // namespace

void add_rows(const std::vector<ForecastSeason>& seasons, const CameSeasons& came, const Bootstrap& bootstrap, int threads, Hindcast& out) {
  std::vector<std::vector<HindcastRow>> of_season(seasons.size());
  for_each_block(static_cast<int>(seasons.size()), threads, [&](int s) {
    const auto& season = seasons[static_cast<std::size_t>(s)];
    auto& rows = of_season[static_cast<std::size_t>(s)];
    for (std::size_t date = 0; date < season.on.size(); ++date) {
      for (std::size_t r = 0; r < out.regions.size(); ++r) rows.push_back(region_row(came, season, date, r, out.regions[r]));
      rows.push_back(total_row(came, season, date));
    }
  });
  for (auto& rows : of_season) out.rows.insert(out.rows.end(), std::make_move_iterator(rows.begin()), std::make_move_iterator(rows.end()));
  const bool any = std::any_of(out.rows.begin(), out.rows.end(), [](const HindcastRow& row) { return row.qualifying.score.has_value(); });
  out.main = any ? Quantity::qualifying : Quantity::delivered;
  // Series are numbered by quantity and region, so that the dates of one share their draws.
  const auto n = static_cast<unsigned>(out.regions.size()) + 1;
  for (int date = 0; date < static_cast<int>(out.dates.size()); ++date)
    for (const Quantity of : {Quantity::qualifying, Quantity::delivered}) {
      const unsigned first = of == Quantity::qualifying ? 0 : n;
      for (unsigned r = 0; r + 1 < n; ++r) add_scores(date, of, out.regions[r], first + r, bootstrap, out);
      add_scores(date, of, "", first + n - 1, bootstrap, out);
    }
}

void add_growers(const Season& season, const std::vector<ForecastSeason>& seasons, const ObservedSeasons& observed, int draws,
                 const Bootstrap& bootstrap, Hindcast& out) {
  const FarmLaw law = farm_law(season);
  for (std::size_t g = 0; g < observed.growers.size(); ++g) {
    const auto& grower = observed.growers[g];
    const auto r = static_cast<std::size_t>(grower.region);
    std::map<int, double> region_yield;
    for (const auto& [year, one] : observed.regions[r]) region_yield.emplace(year, one.delivered_t / one.level_ha);
    const auto deviations = farm_deviations(grower, region_yield);
    std::vector<OtherSeason> per_ha;
    for (const auto& [year, one] : grower.seasons) per_ha.push_back({year, one.delivered_t / one.level_ha});
    const auto place = static_cast<unsigned>(out.regions.size() + 1 + g);
    std::vector<std::vector<SeasonScore>> by_date(out.dates.size());
    for (const auto& forecast : seasons) {
      const auto at = grower.seasons.find(forecast.year);
      if (at == grower.seasons.end()) continue;
      std::vector<double> others;
      for (const auto& [year, d] : deviations)
        if (year != forecast.year) others.push_back(d);
      const FarmFactor factor = farm_factor(law, others);
      for (std::size_t date = 0; date < forecast.on.size(); ++date) {
        std::vector<double> per_level_ha = forecast.on[date].regions[r].offered_t;
        for (double& t : per_level_ha) t /= forecast.level_ha[r];
        SeasonCase one;
        one.year = forecast.year;
        one.weights = forecast.on[date].weights;
        one.members = grower_members(per_level_ha, forecast.weather_years, draws, at->second.level_ha, factor, season.seed, place);
        one.observed = at->second.delivered_t;
        auto record = per_ha;
        for (auto& other : record) other.value *= at->second.level_ha;
        one.others = baselines(record, forecast.year);
        GrowerRow row{out.regions[r], grower.grower, forecast.year, static_cast<int>(date), at->second.planted_ha, {}};
        row.delivered.score = score_season(one);
        row.delivered.forecast_t = row.delivered.score->forecast;
        row.delivered.came_t = one.observed;
        row.delivered.five_year_mean_t = one.others.five_year_mean;
        by_date[date].push_back(*row.delivered.score);
        out.growers.push_back(std::move(row));
      }
    }
    Bootstrap mine = bootstrap;
    mine.place = 2 * static_cast<unsigned>(out.regions.size() + 1) + static_cast<unsigned>(g);
    for (std::size_t date = 0; date < by_date.size(); ++date)
      if (!by_date[date].empty())
        out.grower_scores.push_back({out.regions[r], grower.grower, static_cast<int>(date), score_seasons(by_date[date], mine, "t")});
  }
}

}  // namespace rickyard
