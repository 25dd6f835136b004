#include "planner/hindcast/observed_seasons.h"

#include <fmt/format.h>

#include <algorithm>

#include "planner/quality/grain.h"

namespace rickyard {
namespace {

double tonnes_of(const HistoryRow& row, double t) { return moisture_corrected_t(t, row.moisture_pct.value_or(kReferenceMoisturePct)); }

bool can_be_scored(const HistoryRow& row) { return row.planted_ha && *row.planted_ha > 0 && row.delivered_t; }

struct Level {
  double yield = 1, n_pct = 0;  // of the row's variety over the contract rows'
};
Level level_of(const Season& season, const ModelledRegion& region, const HistoryRow& row) {
  if (row.variety.empty()) return {};
  for (const auto& variety : season.varieties)
    if (variety.variety == row.variety)
      return {variety.yield_factor.value_or(1) / region.yield_factor, variety.n_offset_pct.value_or(0) - region.n_offset_pct};
  return {};
}

// rows: at least one, all can be scored.
ObservedSeason sum_of(const Season& season, const ModelledRegion& region, const std::vector<const HistoryRow*>& rows) {
  ObservedSeason out;
  double qualifying = 0, offset = 0;
  bool all_qualifying = true, one_limit = true;
  for (const auto* row : rows) {
    const Level level = level_of(season, region, *row);
    out.planted_ha += *row->planted_ha;
    out.level_ha += *row->planted_ha * level.yield;
    offset += *row->planted_ha * level.n_pct;
    out.delivered_t += tonnes_of(*row, *row->delivered_t);
    all_qualifying = all_qualifying && row->qualifying_t.has_value();
    qualifying += row->qualifying_t ? tonnes_of(*row, *row->qualifying_t) : 0;
    one_limit = one_limit && row->limit_n_pct == rows.front()->limit_n_pct;
  }
  out.n_offset_pct = offset / out.planted_ha;
  if (all_qualifying) out.qualifying_t = qualifying;
  if (one_limit) out.limit_n_pct = rows.front()->limit_n_pct;
  if (rows.size() == 1) out.sown = rows.front()->sown;
  return out;
}

struct RowsOfSeason {
  const HistoryRow* whole = nullptr;
  std::vector<const HistoryRow*> growers;
};

void add_grower(ObservedSeasons& out, const Season& season, const ModelledRegion& region, int r, const HistoryRow& row) {
  auto at = std::find_if(out.growers.begin(), out.growers.end(),
                         [&](const ObservedGrower& one) { return one.region == r && one.grower == row.grower; });
  if (at == out.growers.end()) at = out.growers.insert(out.growers.end(), {row.grower, r, {}});
  at->seasons.emplace(row.crop_year, sum_of(season, region, {&row}));
}

}  // namespace

bool ObservedSeasons::any() const {
  return std::any_of(regions.begin(), regions.end(), [](const auto& seasons) { return !seasons.empty(); });
}

ObservedSeasons observed_seasons(const Season& season, const ModelledRegions& modelled) {
  ObservedSeasons out;
  out.regions.resize(modelled.regions.size());
  std::map<std::pair<int, int>, RowsOfSeason> by_season;
  int not_scored = 0, without_limit = 0;
  for (const auto& row : season.history) {
    const int r = modelled.find(row.region);
    if (row.crop_year >= season.crop_year || r < 0) continue;
    if (!can_be_scored(row)) {
      ++not_scored;
      continue;
    }
    auto& rows = by_season[{r, row.crop_year}];
    if (row.grower.empty()) {
      rows.whole = &row;
    } else {
      rows.growers.push_back(&row);
      add_grower(out, season, modelled.regions[static_cast<std::size_t>(r)], r, row);
    }
  }
  for (const auto& [key, rows] : by_season) {
    const auto r = static_cast<std::size_t>(key.first);
    const auto one = sum_of(season, modelled.regions[r], rows.whole ? std::vector{rows.whole} : rows.growers);
    without_limit += one.qualifying_t && !one.limit_n_pct ? 1 : 0;
    out.regions[r].emplace(key.second, one);
  }
  for (auto& one : past_deliveries(season, modelled, std::nullopt).seasons) {
    auto& seasons = out.regions[static_cast<std::size_t>(one.region)];
    if (const auto at = seasons.find(one.crop_year); at != seasons.end()) at->second.nitrogen = std::move(one);
  }
  if (not_scored > 0)
    out.left_out.push_back(fmt::format("{} history row{} without planted_ha or delivered_t cannot be scored: add both", not_scored,
                                       not_scored == 1 ? "" : "s"));
  if (without_limit > 0)
    out.left_out.push_back(fmt::format("{} season{} of a region name{} no limit_n_pct, or several: today's limit was taken for them",
                                       without_limit, without_limit == 1 ? "" : "s", without_limit == 1 ? "s" : ""));
  return out;
}

}  // namespace rickyard
