#include "planner/app/run_writer.h"

#include <cmath>

#include "geo/write_maps.h"
#include "io/contracts_writer.h"
#include "io/plan_json.h"
#include "io/run_folder.h"
#include "io/table_writer.h"
#include "planner/app/version.h"
#include "reports/audit_tables.h"
#include "reports/page_embed.h"
#include "reports/tables.h"

namespace rickyard {
namespace {

// Figures that the map file carries for each region, straight from the document; NaN where a region has no contract.
std::vector<RegionColumn> region_columns(const PlanDocument& document, const Land& land) {
  const auto column = [&](const std::string& name, auto&& figure) {
    RegionColumn out{name, {}};
    for (const auto& region : land.regions) {
      double value = std::nan("");
      for (const auto& block : document.regions)
        if (block.region == region.id) value = figure(block);
      out.values.push_back(value);
    }
    return out;
  };
  using Block = PlanDocument::RegionBlock;
  return {column("planted_ha", [](const Block& b) { return b.planted_ha; }),
          column("yield_t_ha_mean", [](const Block& b) { return b.yield_t_ha.mean; }),
          column("n_pct_mean", [](const Block& b) { return b.n_pct.mean; }),
          column("qualifying_share_mean", [](const Block& b) { return b.qualifying_share.mean; }),
          column("qualifying_t_p10", [](const Block& b) { return b.qualifying_t.p10; }),
          column("qualifying_t_p50", [](const Block& b) { return b.qualifying_t.p50; }),
          column("qualifying_t_p90", [](const Block& b) { return b.qualifying_t.p90; }),
          column("qualifying_t_mean", [](const Block& b) { return b.qualifying_t.mean; })};
}

Manifest manifest(const Session& session, const PlanResult& result, const RunRequest& request, std::time_t now) {
  Manifest out = manifest_of(session, session.season_in_force().parameters, result.document.inputs, request.note, request.machine, now);
  for (const auto& contract : result.forecast->contracts) out.anchors.push_back(contract.anchor);
  for (const auto& year : result.document.years) out.year_weights.emplace_back(year.year, year.weight);
  for (const auto& time : result.times) out.seconds.emplace_back(time.stage, time.seconds);
  return out;
}

}  // namespace

Manifest manifest_of(const Session& session, const ParameterSet& parameters, const std::vector<PlanDocument::Input>& inputs,
                     const std::string& note, const MachineOptions& machine, std::time_t now) {
  Manifest out;
  out.version = kVersion;
  out.kernel = kernel_name(machine);
  out.made_at = now;
  out.note = note;
  out.seed = session.season().seed;
  out.threads = machine.threads;
  out.inputs = inputs;
  for (const auto& name : parameters.names()) out.parameters.emplace_back(name, parameters[name]);
  out.crop_chunks_grown = session.growth().grown;
  out.crop_chunks_kept = session.growth().kept;
  return out;
}

std::filesystem::path write_run(const Session& session, const PlanResult& result, const std::string& plan_text, const RunRequest& request) {
  const std::time_t now = std::time(nullptr);
  RunFolder run(request.parent, request.name, now);
  run.write("plan.json", plan_text);
  const auto tables = plan_tables(result.document);
  for (const auto& table : tables) run.write(table.name + ".csv", to_csv(table));
  for (const auto& table : audit_tables(*result.season, *result.need, *result.supply, *result.sourcing, result.forecast.get()))
    run.write(table.name + ".csv", to_csv(table));
  if (result.answers) {
    std::vector<char> changed;
    for (std::size_t c = 0; c < result.answers->listed_amount.size(); ++c)
      changed.push_back(result.answers->decision.amount[c] != result.answers->listed_amount[c]);
    run.write("contracts_proposed.csv", contracts_csv(session.contracts_table(), result.season->contracts, changed));
  }
  write_xlsx(run.path("plan.xlsx"), tables);
  if (result.geography) {
    const auto& land = result.geography->land;
    write_regions_gpkg(run.path("regions.gpkg"), land, region_columns(result.document, land), session.season().as_of);
    write_cells_cog(run.path("qualifying_t_ha.tif"), result.geography->grid, result.cell_qualifying_t_ha,
                    "qualifying grain on contracted land, mean of the weather years");
  }
  run.write("report.html", report_html(plan_text));
  run.write("manifest.json", manifest_json(manifest(session, result, request, now)));
  return run.commit();
}

}  // namespace rickyard
