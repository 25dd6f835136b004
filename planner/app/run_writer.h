#pragma once
// Writes one plan as a run folder: complete or not at all.
#include <ctime>
#include <filesystem>
#include <string>
#include <vector>

#include "io/manifest.h"
#include "planner/app/session.h"

namespace rickyard {

struct RunRequest {
  std::filesystem::path parent;  // the folder that takes the run
  std::string name;              // e.g. "base"
  std::string note;
  MachineOptions machine;
};

/// What the manifest of any command says of the session: version, note, seed, machine, parameters, inputs, crops grown and kept.
Manifest manifest_of(const Session& session, const ParameterSet& parameters, const std::vector<PlanDocument::Input>& inputs,
                     const std::string& note, const MachineOptions& machine, std::time_t now);

/// The folder's final path. Throws OutputError.
std::filesystem::path write_run(const Session& session, const PlanResult& result, const std::string& plan_text, const RunRequest& request);

}  // namespace rickyard
