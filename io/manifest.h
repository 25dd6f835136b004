#pragma once
// manifest.json: what a run was made from and with. plan.json holds no time and no machine; this file does.
#include <ctime>
#include <string>
#include <utility>
#include <vector>

#include "planner/document/plan_document.h"
#include "planner/quality/harvest_forecast.h"

namespace rickyard {

struct Manifest {
  std::string version;
  std::string kernel = "exact";  // which twin of the daily kernel ran
  std::time_t made_at = 0;       // UTC
  std::string note;              // the user's, may be empty
  unsigned seed = 0;
  int threads = 0;                                         // 0: all cores
  std::vector<PlanDocument::Input> inputs;                 // with SHA-256
  std::vector<std::pair<std::string, double>> parameters;  // every one in force
  std::vector<Anchor> anchors;                             // one per contract row
  std::vector<std::pair<int, double>> year_weights;
  long long crop_chunks_grown = 0, crop_chunks_kept = 0;  // of 256 land units and one run; kept: by an earlier run of the program
  std::vector<std::pair<std::string, double>> seconds;    // by stage, in the order they ran
};

/// JSON, two spaces, newline at the end. Numbers are not rounded (seconds to 1e-3): with the inputs they reproduce the run.
/// Throws std::logic_error naming the field where a number is not finite.
std::string manifest_json(const Manifest& manifest);

}  // namespace rickyard
