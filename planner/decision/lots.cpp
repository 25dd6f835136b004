#include "planner/decision/lots.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "planner/sourcing/programme_terms.h"

namespace rickyard {
namespace {

constexpr double kLeastTonnes = 0.5;

// What one source can bring in the plan's months, in the kind of year looked at.
struct Source {
  int backup = 0;
  double most_t = 0, lot_t = 0, take_t = 0;  // take_t: least if anything is taken
  double per_t = 0;                          // grain and freight, per t at 14.5 %
};

struct Year {
  std::vector<double> cap_factor, price_per_t;  // [backup]
};

Year listed_year(const Season& season) {
  Year year;
  for (const auto& row : season.backups) {
    year.cap_factor.push_back(1);
    year.price_per_t.push_back(row.price_per_t.value_or(0));
  }
  return year;
}

Year year_below(const SupplyScenarios& supply, const std::vector<double>& own_t, double most_t, const Year& listed) {
  Year year{std::vector<double>(listed.cap_factor.size(), 0), std::vector<double>(listed.cap_factor.size(), 0)};
  double weight = 0;
  for (std::size_t s = 0; s < own_t.size(); ++s) {
    const auto& scenario = supply.scenarios[s];
    if (own_t[s] > most_t || scenario.backups.size() != listed.cap_factor.size()) continue;
    weight += scenario.weight;
    for (std::size_t b = 0; b < scenario.backups.size(); ++b) {
      year.cap_factor[b] += scenario.weight * scenario.backups[b].cap_factor;
      year.price_per_t[b] += scenario.weight * scenario.backups[b].price_per_t;
    }
  }
  if (weight <= 0) return listed;
  for (double& factor : year.cap_factor) factor /= weight;
  for (double& price : year.price_per_t) price /= weight;
  return year;
}

std::vector<Source> sources(const ProgrammeTerms& terms, const Year& year) {
  std::vector<Source> out;
  for (std::size_t b = 0; b < terms.backups.size(); ++b) {
    const auto& backup = terms.backups[b];
    const auto& row = terms.season.backups[b];
    double most = 0, committed = 0;
    for (std::size_t m = 0; m < backup.open.size(); ++m) {
      committed += backup.committed_t[m];
      if (backup.open[m]) most += std::max(0.0, backup.cap_t_month * year.cap_factor[b] - backup.committed_t[m]);
    }
    if (std::isfinite(backup.cap_t_season)) most = std::min(most, backup.cap_t_season * year.cap_factor[b] - committed);
    Source source{static_cast<int>(b), most, backup.lot_t, std::max(backup.take_if_used_t, backup.min_take_t), 0};
    if (source.lot_t > 0) source.most_t = std::floor(source.most_t / source.lot_t + 1e-9) * source.lot_t;
    source.per_t = year.price_per_t[b] * backup.to_reference + row.freight_per_t.value_or(0);
    if (source.most_t > kLeastTonnes && source.most_t >= source.take_t) out.push_back(source);
  }
  return out;
}

// All it takes to cover t, as far as the source reaches.
double cover(const Source& source, double t) {
  if (t <= kLeastTonnes) return 0;
  double take = std::max(t, source.take_t);
  if (source.lot_t > 0) take = std::ceil(take / source.lot_t - 1e-9) * source.lot_t;
  return std::min(take, source.most_t);
}

// As much as fits into t without going over.
double within(const Source& source, double t) {
  double take = std::min(t, source.most_t);
  if (source.lot_t > 0) take = std::floor(take / source.lot_t + 1e-9) * source.lot_t;
  return take >= source.take_t ? take : 0;
}

struct Prices {
  double feed_net = 0, unmet = 0;
};

LotChoice choice(const std::vector<Source>& from, const std::vector<double>& t, double gap, const Prices& prices) {
  LotChoice out;
  double bought = 0;
  for (std::size_t i = 0; i < from.size(); ++i) {
    out.backups.push_back(from[i].backup);
    out.t.push_back(t[i]);
    out.grain_cost += t[i] * from[i].per_t;
    bought += t[i];
  }
  out.short_t = std::max(0.0, gap - bought);
  out.over_t = std::max(0.0, bought - gap);
  out.resale = out.over_t * prices.feed_net;
  out.short_cost = out.short_t * prices.unmet;
  out.cost = out.grain_cost - out.resale + out.short_cost;
  return out;
}

void mark_dominated(std::vector<LotChoice>& choices) {
  const auto paid = [](const LotChoice& c) { return c.grain_cost - c.resale; };
  for (auto& one : choices)
    one.dominated = std::any_of(choices.begin(), choices.end(), [&](const LotChoice& other) {
      return other.short_t <= one.short_t && paid(other) <= paid(one) && (other.short_t < one.short_t || paid(other) < paid(one));
    });
}

// A pair takes what fits of its first source and the rest of its second; it is a choice of its own where both bring something.
std::vector<LotChoice> choices(const std::vector<Source>& from, double gap, const Prices& prices) {
  std::vector<LotChoice> out;
  if (gap <= kLeastTonnes) return out;
  for (const auto& source : from) out.push_back(choice({source}, {cover(source, gap)}, gap, prices));
  for (std::size_t a = 0; a < from.size(); ++a)
    for (std::size_t b = 0; b < from.size(); ++b) {
      if (a == b) continue;
      const double first = within(from[a], gap), second = cover(from[b], gap - first);
      const bool other_way = b < a && within(from[b], gap) > kLeastTonnes && std::abs(within(from[b], gap) - second) < kLeastTonnes &&
                             std::abs(cover(from[a], gap - within(from[b], gap)) - first) < kLeastTonnes;
      if (other_way) continue;  // the same tonnes, listed already
      if (first > kLeastTonnes && second > kLeastTonnes) out.push_back(choice({from[a], from[b]}, {first, second}, gap, prices));
    }
  mark_dominated(out);
  return out;
}

}  // namespace

std::vector<LotGap> compare_lots(const Season& season, const SeasonPatch& patch, const HarvestForecast& forecast, const Need& need,
                                 const SupplyScenarios& supply) {
  const auto terms = programme_terms(season, patch, forecast, need, supply);
  const double asked = asked_of_crop(season, patch, forecast, need, supply).asked_t();
  double committed = 0;
  for (const auto& backup : terms.backups) committed = std::accumulate(backup.committed_t.begin(), backup.committed_t.end(), committed);
  std::vector<double> own, weight;
  for (const auto& scenario : supply.scenarios) {
    own.push_back(0);
    for (const auto& contract : scenario.contracts) own.back() += contract.qualifying_t;
    weight.push_back(scenario.weight);
  }
  const auto range = weighted_range(own, weight);
  const Prices prices{terms.market.mean_feed - terms.market.reject_haul_per_t, terms.unmet_price};
  const auto listed = listed_year(season);
  std::vector<LotGap> out;
  const auto add = [&](const std::string& years, double own_t, const Year& year) {
    LotGap gap{years, own_t, committed, std::max(0.0, asked - own_t - committed), {}};
    gap.choices = choices(sources(terms, year), gap.gap_t, prices);
    out.push_back(std::move(gap));
  };
  add("average", range.mean, listed);
  add("1 in 10 dry", range.p10, year_below(supply, own, range.p10, listed));
  return out;
}

}  // namespace rickyard
