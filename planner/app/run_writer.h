#pragma once
// Writes one plan as a run folder: complete or not at all.
#include <filesystem>
#include <string>

#include "planner/app/session.h"

namespace rickyard {

struct RunRequest {
  std::filesystem::path parent;  // the folder that takes the run
  std::string name;              // e.g. "base"
  std::string note;
  MachineOptions machine;
};

/// The folder's final path. Throws OutputError.
std::filesystem::path write_run(const Session& session, const PlanResult& result, const std::string& plan_text, const RunRequest& request);

}  // namespace rickyard
