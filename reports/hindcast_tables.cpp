#include "reports/hindcast_tables.h"

#include "reports/table_builder.h"

namespace rickyard {
namespace {

double or_nan(const std::optional<double>& value) { return value.value_or(std::nan("")); }

// A row of the document and the dates it points into.
template <class T>
struct In {
  const Hindcast* hindcast = nullptr;
  T item{};
  std::string date(int index) const { return hindcast ? hindcast->dates[static_cast<std::size_t>(index)].name : ""; }
};

template <class T>
std::vector<In<T>> all_in(const Hindcast& hindcast, const std::vector<T>& items) {
  std::vector<In<T>> out;
  for (const auto& item : items) out.push_back({&hindcast, item});
  return out;
}

void figure(RowBuilder& row, const std::string& name, const HindcastFigure& f) {
  const auto* s = f.score ? &*f.score : nullptr;
  row.range("forecast_" + name + "_t", f.forecast_t)
      .number(name + "_t", or_nan(f.came_t))
      .cell(name + "_hit", s ? Cell{static_cast<long long>(s->hit ? 1 : 0)} : Cell{})
      .cell(name + "_rank_class", s ? Cell{static_cast<long long>(s->rank_class)} : Cell{})
      .number(name + "_crps_t", s ? s->crps : std::nan(""))
      .number(name + "_five_year_mean_t", or_nan(f.five_year_mean_t))
      .number(name + "_crps_climatology_t", s ? or_nan(s->crps_climatology) : std::nan(""))
      .number(name + "_crps_five_year_mean_t", s ? or_nan(s->crps_five_year_mean) : std::nan(""));
}

void scores(RowBuilder& row, const Scores& s, bool judged) {
  row.whole("seasons", s.n)
      .whole("hits", s.hits)
      .whole("hits_low", s.band.low)
      .whole("hits_high", s.band.high)
      .number("bias_t", s.bias)
      .number("mean_came_t", s.mean_observed)
      .number("rmse_t", s.rmse)
      .number("crps_t", s.crps)
      .whole("seasons_compared", s.compared)
      .number("rmse_climatology_t", or_nan(s.rmse_climatology))
      .number("rmse_five_year_mean_t", or_nan(s.rmse_five_year_mean))
      .number("crps_climatology_t", or_nan(s.crps_climatology))
      .number("crps_five_year_mean_t", or_nan(s.crps_five_year_mean))
      .number("crpss_climatology", or_nan(s.crpss_climatology), kTableFractions)
      .number("crpss_five_year_mean", or_nan(s.crpss_five_year_mean), kTableFractions)
      .number("crps_difference_t", or_nan(s.gain))
      .number("crps_difference_low_t", or_nan(s.gain_low))
      .number("crps_difference_high_t", or_nan(s.gain_high))
      .text("verdict", judged ? verdict_words(s.verdict) : "")
      .text("reason", s.reason);
}

const char* quantity(Quantity of) { return of == Quantity::qualifying ? "qualifying" : "delivered"; }

Table seasons(const Hindcast& h) {
  return table_of("hindcast", all_in(h, h.rows), [](RowBuilder& row, const In<HindcastRow>& of) {
    const HindcastRow& r = of.item;
    row.whole("year", r.year).text("date", of.date(r.date)).date("as_of", r.as_of).text("region", hindcast_region(r.region));
    row.number("planted_ha", r.planted_ha).number("limit_n_pct", or_nan(r.limit_n_pct));
    figure(row, "qualifying", r.qualifying);
    figure(row, "delivered", r.delivered);
    row.range("forecast_n_pct", r.n_pct).number("n_pct", or_nan(r.came_n_pct));
    row.number("field_t", or_nan(r.field_t)).number("intake_t", or_nan(r.intake_t)).text("lost_to", r.lost_to);
  });
}

Table score_table(const Hindcast& h) {
  const bool judged = h.kind == HindcastKind::deliveries;
  return table_of("hindcast_scores", all_in(h, h.scores), [judged](RowBuilder& row, const In<HindcastScores>& of) {
    row.text("date", of.date(of.item.date)).text("region", hindcast_region(of.item.region)).text("quantity", quantity(of.item.of));
    scores(row, of.item.scores, judged);
  });
}

Table ranks(const Hindcast& h) {
  return table_of("hindcast_ranks", all_in(h, h.scores), [](RowBuilder& row, const In<HindcastScores>& of) {
    row.text("date", of.date(of.item.date)).text("region", hindcast_region(of.item.region)).text("quantity", quantity(of.item.of));
    for (int i = 0; i < kRankClasses; ++i)
      row.whole("class_" + std::to_string(i + 1), of.item.scores.rank_histogram[static_cast<std::size_t>(i)]);
  });
}

Table growers(const Hindcast& h) {
  return table_of("hindcast_growers", all_in(h, h.growers), [](RowBuilder& row, const In<GrowerRow>& of) {
    const GrowerRow& r = of.item;
    row.text("region", r.region)
        .text("grower", r.grower)
        .whole("year", r.year)
        .text("date", of.date(r.date))
        .number("planted_ha", r.planted_ha);
    figure(row, "delivered", r.delivered);
  });
}

Table grower_scores(const Hindcast& h) {
  const bool judged = h.kind == HindcastKind::deliveries;
  return table_of("hindcast_grower_scores", all_in(h, h.grower_scores), [judged](RowBuilder& row, const In<GrowerScores>& of) {
    row.text("region", of.item.region).text("grower", of.item.grower).text("date", of.date(of.item.date));
    scores(row, of.item.scores, judged);
  });
}

}  // namespace

std::string hindcast_region(const std::string& region) { return region.empty() ? "(all)" : region; }

std::vector<Table> hindcast_tables(const HindcastDocument& document) {
  const Hindcast& h = document.hindcast;
  std::vector<Table> out = {seasons(h), score_table(h), ranks(h)};
  if (h.growers.empty()) return out;
  out.push_back(growers(h));
  out.push_back(grower_scores(h));
  return out;
}

}  // namespace rickyard
