#include "planner/quality/crop_runs.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "planner/quality/contract_terms.h"

namespace rickyard {
namespace {

bool same_request(const CropRun& a, const CropRun& b) {
  return a.planned == b.planned && a.wait_days == b.wait_days && a.thermal_factor == b.thermal_factor &&
         a.drilled_after == b.drilled_after && a.sown_on == b.sown_on;
}

std::vector<int> units_of(const Region& region) {
  std::vector<int> units;
  for (const auto& share : region.units)
    if (share.ha > 0) units.push_back(share.unit);
  return units;
}

// The run of a request on exactly these units.
std::vector<CropRun>::const_iterator find_run(const std::vector<CropRun>& runs, const CropRun& request, const std::vector<int>& units) {
  return std::find_if(runs.begin(), runs.end(), [&](const CropRun& known) { return same_request(known, request) && known.units == units; });
}

void add_runs(const Season& season, std::vector<CropRun>& runs, const CropRun& request, const Region& region) {
  const auto units = units_of(region);
  for (auto& part : drilled_parts(season, request)) {
    if (find_run(runs, part, units) != runs.end()) continue;
    runs.push_back(std::move(part));
    runs.back().units = units;
  }
}

}  // namespace

std::vector<CropRun> drilled_parts(const Season& season, const CropRun& request) {
  if (request.sown_on) return {request};
  const auto parts = static_cast<int>(season.parameters["drilling_parts"]);
  const double days = season.parameters["drilling_days"];
  std::vector<CropRun> out(static_cast<std::size_t>(parts), request);
  for (int i = 0; i < parts; ++i)
    out[static_cast<std::size_t>(i)].drilled_after = 1 + static_cast<int>(std::floor((i + 0.5) / parts * days));
  return out;
}

std::vector<CropRun> run_requests(const Season& season, const SeasonPatch& patch, const std::vector<double>& harvest_factors) {
  std::vector<CropRun> requests;
  for (std::size_t c = 0; c < season.contracts.size(); ++c) {
    requests.push_back(contract_run(season, season.contracts[c], patch));
    requests.back().thermal_factor *= harvest_factors[c];
  }
  return requests;
}

std::vector<CropRun> crop_runs(const Season& season, const Land& land, const std::vector<CropRun>& requests, const SeasonPatch& patch) {
  std::vector<CropRun> runs;
  for (std::size_t c = 0; c < season.contracts.size(); ++c)
    add_runs(season, runs, requests[c],
             region_of(land, season.contracts[c].region, fmt::format("contracts row {}", season.contracts[c].at.row)));
  for (const auto& backup : season.backups)
    if (!backup.region.empty())
      add_runs(season, runs, default_run(season, patch), region_of(land, backup.region, fmt::format("backups row {}", backup.at.row)));
  return runs;
}

RowUnits row_units(const Season& season, const std::vector<CropRun>& runs, const CropRun& request, const Region& region) {
  const auto parts = drilled_parts(season, request);
  RowUnits row;
  row.parts = static_cast<int>(parts.size());
  double ha = 0;
  for (const auto& share : region.units) ha += share.ha;
  const auto units = units_of(region);
  for (const auto& part : parts) {
    const auto run = find_run(runs, part, units);
    if (run == runs.end()) throw std::logic_error("a contract row asks for a crop run that was not made");
    int place = 0;
    for (const auto& share : region.units) {
      if (!(share.ha > 0)) continue;
      row.runs.push_back(static_cast<int>(run - runs.begin()));
      row.units.push_back(share.unit);
      row.places.push_back(place++);
      row.share.push_back(share.ha / ha / row.parts);
    }
  }
  return row;
}

}  // namespace rickyard
