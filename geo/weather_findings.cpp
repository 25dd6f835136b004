#include "geo/weather_findings.h"

#include <algorithm>

namespace rickyard {

void Tally::add(int at_band, int at_cell, double found, double beside) {
  if (count++ == 0 || at_band < band || (at_band == band && at_cell < cell)) {
    band = at_band;
    cell = at_cell;
    value = found;
    other = beside;
  }
}

void Tally::merge(const Tally& later) {
  if (later.count == 0) return;
  const long long all = count + later.count;
  add(later.band, later.cell, later.value, later.other);
  count = all;
}

void Gaps::add(int first_band, int at_cell) {
  ++cells;
  if (band >= 0 && first_band >= band) return;
  band = first_band;
  cell = at_cell;
}

void Gaps::merge(const Gaps& later) {
  if (later.cells == 0) return;
  const long long all = cells + later.cells;
  add(later.band, later.cell);
  cells = all;
}

void VariableFindings::merge(const VariableFindings& later) {
  if (!failure) failure = later.failure;
  low.merge(later.low);
  high.merge(later.high);
  gaps.merge(later.gaps);
}

bool WeatherFindings::flawless() const {
  return crossed.count == 0 && std::all_of(variables.begin(), variables.end(), [](const auto& v) { return v.flawless(); });
}

void WeatherFindings::append(const WeatherFindings& later) {
  complete.insert(complete.end(), later.complete.begin(), later.complete.end());
  if (variables.size() < later.variables.size()) variables.resize(later.variables.size());
  for (std::size_t v = 0; v < later.variables.size(); ++v) variables[v].merge(later.variables[v]);
  crossed.merge(later.crossed);
}

void put(ByteWriter& to, const WeatherFindings& findings) {
  to.put(findings.complete);
  to.put_each(findings.variables, [&](const VariableFindings& v) {
    to.put(v.gaps.cells);
    to.put(v.gaps.band);
    to.put(v.gaps.cell);
  });
}

void get(ByteReader& from, WeatherFindings& findings) {
  from.get(findings.complete);
  from.get_each(findings.variables, [&](VariableFindings& v) {
    from.get(v.gaps.cells);
    from.get(v.gaps.band);
    from.get(v.gaps.cell);
  });
}

}  // namespace rickyard
