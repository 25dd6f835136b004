#include "planner/sowing/make_advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "planner/crop/crop_run.h"
#include "planner/crop/spring_work.h"
#include "planner/quality/forecast_by_formulas.h"
#include "planner/quality/season_in_hand.h"
#include "planner/sowing/advice_words.h"
#include "planner/sowing/nitrogen_rate.h"
#include "planner/sowing/sowing_curves.h"
#include "planner/sowing/spring_outlook.h"
#include "planner/sowing/year_figures.h"

namespace rickyard {
namespace {

// Where the runs of one place sit among all runs, by date tried.
struct PlaceRuns {
  std::vector<Date> dates;
  std::vector<std::size_t> wait, at_once;
  std::size_t planned = 0;  // position of the planned date
};

PlaceRuns add_runs(const Season& season, const BaseHarvest& base, const SowingPlace& place, SowingRuns& runs) {
  PlaceRuns out;
  out.dates = dates_tried(season, place);
  for (const Date& date : out.dates) {
    out.wait.push_back(runs.add(waiting_run(season, base, place, date), place.units));
    out.at_once.push_back(runs.add(at_once_run(season, base, place, date), place.units));
  }
  out.planned = static_cast<std::size_t>(std::find(out.dates.begin(), out.dates.end(), place.planned) - out.dates.begin());
  return out;
}

// Weights of the years that were grown, from the forecast's own; scaled to sum to one.
std::vector<double> weights_of(const HarvestForecast& forecast, const std::vector<int>& years) {
  std::vector<double> weights;
  double sum = 0;
  for (int year : years) {
    const auto at = std::find(forecast.years.begin(), forecast.years.end(), year);
    weights.push_back(at == forecast.years.end() ? 0 : forecast.weights[static_cast<std::size_t>(at - forecast.years.begin())]);
    sum += weights.back();
  }
  for (double& weight : weights) weight = sum > 0 ? weight / sum : 1.0 / static_cast<double>(years.size());
  return weights;
}

std::vector<SowingDate> curve(const GrownPlace& grown, const PlaceRuns& runs, const Season& one) {
  std::vector<SowingDate> dates;
  for (std::size_t d = 0; d < runs.dates.size(); ++d) {
    SowingDate date;
    date.date = runs.dates[d];
    date.wait = sowing_result(grown, runs.wait[d], one, date.date);
    date.at_once = sowing_result(grown, runs.at_once[d], one, date.date);
    dates.push_back(std::move(date));
  }
  return dates;
}

// The range at the planned date with nothing known of the season in hand against the range with what is known.
KnownSoFar known_so_far(const Date& through, const SowingResult& before, const SowingResult& now) {
  KnownSoFar out;
  out.through = through;
  out.yield_before_t_ha = before.yield_t_ha;
  out.yield_now_t_ha = now.yield_t_ha;
  out.qualifying_before_t_ha = before.qualifying_t_ha;
  out.qualifying_now_t_ha = now.qualifying_t_ha;
  const auto width = [](const Range& range) { return range.p90 - range.p10; };
  out.narrower = width(now.qualifying_t_ha) < width(before.qualifying_t_ha);
  out.words = known_words(out);
  return out;
}

void count_workable_days(const Season& season, const SowingPlace& place, const SpringWork& work, const std::vector<double>& weights,
                         SowingAdvice& out) {
  const auto day = boost::gregorian::days(1), week = boost::gregorian::days(7);
  for (std::size_t d = 0; d < out.dates.size(); ++d) {
    auto& date = out.dates[d];
    const Date next = d + 1 < out.dates.size() ? out.dates[d + 1].date : date.date + week;
    date.workable_days_to_next = workable_days(season, place, work, weights, date.date, next - day).mean;
    date.workable_days_left = workable_days(season, place, work, weights, date.date, out.spring->count_to);
  }
}

SowingAdvice described(const Season& season, const SowingPlace& place, const ContractTerms& terms) {
  const auto& row = season.contracts[place.contract];
  SowingAdvice out;
  out.region = place.region;
  out.name = place.name;
  out.contract = row.contract;
  out.origin = row.origin.empty() ? row.region : row.origin;
  out.at = place.at;
  out.sow_earliest = place.earliest;
  out.sow_planned = place.planned;
  out.sow_latest = place.latest;
  if (known_sowing(season, row)) out.sown = row.sown;
  out.stated_yield_t_ha = row.yield_t_ha.value_or(0);
  out.field_yield_t_ha = terms.yield_t_ha;
  out.yield_basis = row.yield_basis == YieldBasis::in_field ? "in_field" : "whole_field";
  out.notes = place_notes(season, place);
  return out;
}

// What every date says beside the others.
void compare_dates(const Season& season, const SowingPlace& place, SowingAdvice& out) {
  const auto planned = std::find_if(out.dates.begin(), out.dates.end(), [&](const SowingDate& d) { return d.date == place.planned; });
  for (std::size_t d = 0; d < out.dates.size(); ++d) {
    auto& date = out.dates[d];
    date.planned = date.date == place.planned;
    date.past = !season.as_of.is_special() && date.date <= season.as_of;
    date.against_planned = change(planned->wait, date.wait);
    date.cost_of_not_waiting = change(date.wait, date.at_once);
    if (d + 1 == out.dates.size()) continue;
    const double weeks = static_cast<double>((out.dates[d + 1].date - date.date).days()) / 7;
    SowingChange later = change(date.wait, out.dates[d + 1].wait);
    for (double SowingChange::*part : {&SowingChange::yield_pct, &SowingChange::n_pct, &SowingChange::n_share,
                                       &SowingChange::qualifying_share, &SowingChange::qualifying_t_ha})
      later.*part /= weeks;
    date.next_week = later;
  }
  out.last_sensible = last_sensible(out.dates, season.parameters["sensible_share"]);
}

}  // namespace

std::vector<SowingAdvice> sowing_advice(const Season& season, const SowingRequest& request, const Land& land, const WeatherArchive& archive,
                                        const BaseHarvest& base, const Growing& growing) {
  const auto stage = [&](const char* words) {
    if (growing.progress) growing.progress->stage(words);
  };
  const auto places = sowing_places(season, request, &land);
  const auto known = known_weather(season, archive);
  const auto forecast = forecast_harvest(season, {}, land, archive, base, growing.quietly(), Knowledge::none);
  SowingRuns runs, plain;
  std::vector<PlaceRuns> place_runs;
  std::vector<std::size_t> plain_run;
  for (const auto& place : places) {
    place_runs.push_back(add_runs(season, base, place, runs));
    if (known) plain_run.push_back(plain.add(waiting_run(season, base, place, place.planned), place.units));
  }
  stage("growing the crop from every sowing date");
  auto records = run_crop(land, archive, runs.runs(), season, {}, growing, known ? &*known : nullptr);
  leave_out_year(records, season.crop_year);
  CropRecords plain_records;
  if (known) {
    plain_records = run_crop(land, archive, plain.runs(), season, {}, growing.quietly());
    leave_out_year(plain_records, season.crop_year);
  }
  const auto weights = weights_of(forecast, records.harvest_years);
  const auto plain_weights = weights_of(forecast, plain_records.harvest_years);

  std::vector<SowingAdvice> out;
  stage("counting workable days");
  for (std::size_t i = 0; i < places.size(); ++i) {
    const auto& place = places[i];
    const Season one = one_hectare(season, place.contract);
    const GrownPlace grown{season, place, base, records, weights};
    const std::size_t planned_run = place_runs[i].wait[place_runs[i].planned];
    SowingAdvice advice = described(season, place, base.anchors.terms[place.contract]);
    advice.years = records.harvest_years;
    advice.weights = weights;
    advice.dates = curve(grown, place_runs[i], one);
    const auto work = spring_work(land, archive, place.units, spring_days(season), season, growing, known ? &*known : nullptr);
    const auto spring_weights = weights_of(forecast, work.harvest_years);
    advice.spring = spring_outlook(season, place, work, spring_weights);
    count_workable_days(season, place, work, spring_weights, advice);
    compare_dates(season, place, advice);
    if (known) {
      const GrownPlace before{season, place, base, plain_records, plain_weights};
      advice.known =
          known_so_far(known->through, sowing_result(before, plain_run[i], one, place.planned), advice.dates[place_runs[i].planned].wait);
    }
    advice.n_rate = rate_what_if(one, forecast_of_run(grown, planned_run), weights);
    advice.drivers = loss_drivers(grown, planned_run, one);
    out.push_back(std::move(advice));
  }
  return out;
}

std::vector<SowingAdvice> sowing_advice_by_formulas(const Season& season, const SowingRequest& request) {
  const auto settings = QualitySettings::from(season.parameters);
  const double wet_factor = 1 - season.parameters["sow_wet_loss_pct"] / 100;
  std::vector<SowingAdvice> out;
  for (const auto& place : sowing_places(season, request, nullptr)) {
    const Season one = one_hectare(season, place.contract);
    SowingAdvice advice = described(season, place, contract_terms(season, settings, season.contracts[place.contract]));
    HarvestForecast planned;
    for (const Date& day : dates_tried(season, place)) {
      SeasonPatch shift;
      shift.sowing_shift_days = static_cast<int>((day - place.planned).days());
      HarvestForecast forecast = forecast_by_formulas(one, shift);
      SowingDate date;
      date.date = day;
      set_ranges(year_figures(one, forecast), forecast.weights, date.wait);
      set_ranges(year_figures(one, forecast, wet_factor), forecast.weights, date.at_once);
      date.at_once.wet_seedbed_share = 1;
      date.wait.sown = date.at_once.sown = {day, day, day};
      advice.dates.push_back(std::move(date));
      if (day == place.planned) planned = std::move(forecast);
    }
    advice.years = planned.years;
    advice.weights = planned.weights;
    compare_dates(season, place, advice);
    advice.n_rate = rate_what_if(one, planned, planned.weights);
    out.push_back(std::move(advice));
  }
  return out;
}

}  // namespace rickyard
