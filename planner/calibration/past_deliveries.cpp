#include "planner/calibration/past_deliveries.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "planner/base/normal.h"
#include "planner/quality/grain.h"

namespace rickyard {
namespace {

struct RowsOfSeason {
  const HistoryRow* whole = nullptr;
  std::vector<const HistoryRow*> growers;  // table order
};

double tonnes_of(const HistoryRow& row, double t) { return moisture_corrected_t(t, row.moisture_pct.value_or(kReferenceMoisturePct)); }

bool tells_yield(const HistoryRow& row) { return row.planted_ha && row.delivered_t && *row.planted_ha > 0 && *row.delivered_t > 0; }

// Variety factors that bring one row to the level of the contract rows.
struct Level {
  double yield = 1, n_pct = 0;
};

Level level_of(const Season& season, const ModelledRegion& region, const HistoryRow& row) {
  if (row.variety.empty()) return {};
  for (const auto& variety : season.varieties)
    if (variety.variety == row.variety)
      return {region.yield_factor / variety.yield_factor.value_or(1), region.n_offset_pct - variety.n_offset_pct.value_or(0)};
  return {};
}

std::optional<double> yield_of(const Season& season, const ModelledRegion& region, const std::vector<const HistoryRow*>& rows) {
  double ha = 0, t = 0;
  for (const auto* row : rows) {
    if (!tells_yield(*row)) continue;
    ha += *row->planted_ha * region.harvested_share;
    t += tonnes_of(*row, *row->delivered_t) * level_of(season, region, *row).yield;
  }
  return ha > 0 ? std::optional(t / ha) : std::nullopt;
}

// Tonnes behind a row's N: what was accepted, or all that was delivered. 1 for a region's only row without tonnes.
double measured_t(const HistoryRow& row, bool only_row) {
  if (row.n_basis == NitrogenBasis::accepted && row.qualifying_t) return tonnes_of(row, *row.qualifying_t);
  if (row.delivered_t) return tonnes_of(row, *row.delivered_t);
  return only_row ? 1 : 0;
}

NitrogenBook& book_for(std::vector<NitrogenBook>& books, const HistoryRow& row) {
  const auto limit = row.n_basis == NitrogenBasis::accepted ? row.limit_n_pct : std::nullopt;
  for (auto& book : books)
    if (book.basis == row.n_basis && book.limit_n_pct == limit) return book;
  books.emplace_back();
  books.back().basis = row.n_basis;
  books.back().limit_n_pct = limit;
  return books.back();
}

std::vector<NitrogenBook> books_of(const Season& season, const ModelledRegion& region, const std::vector<const HistoryRow*>& rows) {
  std::vector<NitrogenBook> books;
  std::vector<double> measured;
  for (const auto* row : rows) {
    if (!row->n_pct) continue;
    const double t = measured_t(*row, rows.size() == 1);
    if (!(t > 0)) continue;
    NitrogenBook& book = book_for(books, *row);
    measured.resize(books.size(), 0);
    double& sum = measured[static_cast<std::size_t>(&book - books.data())];
    const double n = *row->n_pct + level_of(season, region, *row).n_pct;
    book.n_pct = (book.n_pct * sum + n * t) / (sum + t);
    sum += t;
    book.tonnes += row->delivered_t ? tonnes_of(*row, *row->delivered_t) : t;
    if (row->grower.empty()) continue;
    book.grower_n_pct.push_back(n);
    book.grower_t.push_back(t);
  }
  return books;
}

// The share that qualified, where every row behind the N has both tonnes and one limit.
void tell_share(RegionSeason& out, const std::vector<const HistoryRow*>& rows) {
  double delivered = 0, qualifying = 0;
  std::set<double> limits;
  for (const auto* row : rows) {
    if (!row->n_pct) continue;
    if (!row->qualifying_t || !row->delivered_t || !row->limit_n_pct) return;
    delivered += tonnes_of(*row, *row->delivered_t);
    qualifying += tonnes_of(*row, *row->qualifying_t);
    limits.insert(*row->limit_n_pct);
  }
  if (!(delivered > 0) || limits.size() != 1 || out.books.size() != 1) return;
  out.qualifying_share = qualifying / delivered;
  out.books.front().limit_n_pct = *limits.begin();
}

RegionSeason region_season(const Season& season, const ModelledRegion& region, const RowsOfSeason& rows) {
  RegionSeason out;
  const std::vector<const HistoryRow*> whole = rows.whole ? std::vector{rows.whole} : std::vector<const HistoryRow*>{};
  out.yield_t_ha = yield_of(season, region, whole);
  if (!out.yield_t_ha) out.yield_t_ha = yield_of(season, region, rows.growers);
  const bool region_n = rows.whole && rows.whole->n_pct;
  out.books = books_of(season, region, region_n ? whole : rows.growers);
  tell_share(out, region_n ? whole : rows.growers);
  return out;
}

}  // namespace

PastDeliveries past_deliveries(const Season& season, const ModelledRegions& modelled, std::optional<int> without_year) {
  PastDeliveries out;
  std::map<std::pair<int, int>, RowsOfSeason> by_season;
  std::set<std::string> elsewhere;
  int without_tonnes = 0, without_hectares = 0;
  for (const auto& row : season.history) {
    if (row.crop_year >= season.crop_year || row.crop_year == without_year) continue;
    const int region = modelled.find(row.region);
    if (region < 0) {
      elsewhere.insert(row.region);
      continue;
    }
    auto& rows = by_season[{region, row.crop_year}];
    if (row.grower.empty())
      rows.whole = &row;
    else
      rows.growers.push_back(&row);
    if (!row.grower.empty() && !row.delivered_t) without_tonnes += 1;
    if (row.delivered_t && !row.planted_ha) without_hectares += 1;
  }
  for (const auto& [key, rows] : by_season) {
    RegionSeason one = region_season(season, modelled.regions[static_cast<std::size_t>(key.first)], rows);
    one.region = key.first;
    one.crop_year = key.second;
    out.seasons.push_back(std::move(one));
  }
  for (const auto& region : elsewhere)
    out.left_out.push_back(fmt::format("history of {} is not used: no contract row grows there", region));
  if (without_hectares > 0)
    out.left_out.push_back(fmt::format("{} history row{} with tonnes and no planted_ha tell{} no yield", without_hectares,
                                       without_hectares == 1 ? "" : "s", without_hectares == 1 ? "s" : ""));
  if (without_tonnes > 0)
    out.left_out.push_back(fmt::format("{} row{} of growers without delivered_t {} left out: growers are averaged by their tonnes",
                                       without_tonnes, without_tonnes == 1 ? "" : "s", without_tonnes == 1 ? "is" : "are"));
  return out;
}

std::optional<double> all_grain_n(const NitrogenBook& book, double sigma, double floor_n_pct) {
  if (book.basis == NitrogenBasis::all_grain) return book.n_pct;
  if (!book.limit_n_pct || !(book.n_pct < *book.limit_n_pct) || !(book.n_pct > floor_n_pct)) return std::nullopt;
  double low = book.n_pct - 3 * sigma, high = *book.limit_n_pct + sigma;
  while (high - low > 1e-12) {
    const double middle = 0.5 * (low + high);
    if (middle <= low || middle >= high) break;
    (truncated_normal_mean(middle, sigma, floor_n_pct, *book.limit_n_pct) < book.n_pct ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

std::optional<double> all_grain_n(const RegionSeason& season, double sigma, double floor_n_pct) {
  double sum = 0, tonnes = 0;
  for (const auto& book : season.books) {
    const auto n = all_grain_n(book, sigma, floor_n_pct);
    if (!n) continue;
    sum += book.tonnes * *n;
    tonnes += book.tonnes;
  }
  return tonnes > 0 ? std::optional(sum / tonnes) : std::nullopt;
}

}  // namespace rickyard
