// Writes the sample season as a run folder: write_sample_run FOLDER [formulas]. The audit scripts are tried on it.
#include <cstdio>
#include <filesystem>
#include <string_view>

#include "io/manifest.h"
#include "io/plan_json.h"
#include "io/run_folder_files.h"
#include "io/table_writer.h"
#include "reports/audit_tables.h"
#include "reports/summary_text.h"
#include "reports/tables.h"
#include "tests/reports/sample_run.h"

using namespace rickyard;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  const auto run = sample_run(argc > 2 && std::string_view(argv[2]) == "formulas" ? ForecastModel::formulas : ForecastModel::daily);
  const auto answers = sample_answers(run);
  const bool contract = argc > 3 && std::string_view(argv[3]) == "contract";
  const auto document = run.document_with(contract ? &answers : nullptr);
  const auto tables = plan_tables(document);
  write_file(folder / "plan.json", plan_json(document));
  for (const auto& table : tables) write_file(folder / (table.name + ".csv"), to_csv(table));
  for (const auto& table : audit_tables(run.season, run.need, run.supply, run.sourcing, &run.forecast))
    write_file(folder / (table.name + ".csv"), to_csv(table));
  write_xlsx(folder / "plan.xlsx", tables);
  Manifest manifest;
  manifest.version = document.version;
  manifest.seed = document.season.seed;
  manifest.inputs = document.inputs;
  for (const auto& year : document.years) manifest.year_weights.emplace_back(year.year, year.weight);
  write_file(folder / "manifest.json", manifest_json(manifest));
  std::fputs(summary_text(document).c_str(), stdout);
  return 0;
}
