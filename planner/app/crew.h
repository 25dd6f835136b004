#pragma once
// The processes of one run. An ordinary build is one process and links no MPI (crew_alone.cpp); a build with RICKYARD_MPI spreads the
// crop over all processes of mpirun or srun (crew_mpi.cpp). The first one does everything else.
#include <memory>
#include <string>

#include "planner/crop/crop_crew.h"

namespace rickyard {

class Session;

/// Holds the processes together from the beginning of main to its end. Processes but the first are silent.
class Crew {
 public:
  Crew(int& argc, char**& argv);
  ~Crew();
  Crew(const Crew&) = delete;
  Crew& operator=(const Crew&) = delete;

  /// Position of this process, 0 the first, and their number.
  static int rank();
  static int size();
};

/// For the first process of several; nullptr where there is one.
std::unique_ptr<CropCrew> make_crew();

/// Any other process: grows what the first one asks for until it says stop. Reads the season's geography when first asked.
void serve_crew(Session& session, int threads);

/// Any other process cannot go on. Quiet where the first one is ending too (it has met the same fault and said so); else says it, and ends
/// all processes.
void leave_crew(const std::string& words);

}  // namespace rickyard
