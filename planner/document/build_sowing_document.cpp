#include <fmt/format.h>

#include "planner/document/build_document.h"
#include "planner/document/parameter_assumptions.h"
#include "planner/document/sowing_document.h"
#include "planner/quality/bands.h"
#include "planner/sowing/advice_words.h"

namespace rickyard {
namespace {

SowingDocument::SeasonBlock season_block(const Season& season) {
  const BandLimits limits = band_limits(season, {});
  return {season.crop_year,
          season.as_of,
          limits.limit,
          limits.stop,
          season.spec.floor_n_pct,
          season.spec.screenings_max_pct.value_or(10),
          season.model == ForecastModel::daily ? "daily" : "formulas"};
}

}  // namespace

SowingDocument build_sowing_document(const Season& season, std::vector<SowingAdvice> advice, std::vector<std::string> warnings,
                                     std::vector<PlanDocument::Input> inputs, const std::string& version) {
  SowingDocument document;
  document.version = version;
  document.season = season_block(season);
  for (std::size_t y = 0; y < advice.front().years.size(); ++y)
    document.years.push_back({advice.front().years[y], advice.front().weights[y]});
  document.harvest_rule = harvest_words(season);
  document.warnings = std::move(warnings);
  const bool daily = season.model == ForecastModel::daily;
  if (daily)
    document.warnings.push_back(
        fmt::format("ranges are over {} weather years; what weather does not explain is left out here and drawn in the plan, whose ranges "
                    "are wider",
                    document.years.size()));
  else
    document.warnings.push_back("model = formulas: no weather, so every range is one figure and no workable days are given");
  constexpr std::size_t kFewYears = 20;
  if (daily && document.years.size() < kFewYears)
    document.warnings.push_back(fmt::format("only {} springs: fewer than {}, so 1 year in 10 is little more than the worst one seen",
                                            document.years.size(), kFewYears));
  document.cautions = cautions();
  document.assumptions = parameter_assumptions(season);
  document.inputs = std::move(inputs);
  document.sowing = std::move(advice);
  return document;
}

}  // namespace rickyard
