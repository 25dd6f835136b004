#pragma once
// crop_numpy.py as a worker beside this program, one request at a time, so that its runs can be interleaved with ours.
#include <cstdio>
#include <string>
#include <vector>

#include "planner/crop/crop_record.h"
#include "tests/bench/crop_case.h"

namespace rickyard::bench {

class NumpyWorker {
 public:
  /// folder: written by write_case. Throws std::runtime_error where python3 or NumPy is missing.
  explicit NumpyWorker(const std::string& folder);
  ~NumpyWorker();
  NumpyWorker(const NumpyWorker&) = delete;
  NumpyWorker& operator=(const NumpyWorker&) = delete;

  /// CPU seconds that the first so many harvest years of the first so many cells took.
  double run(int years, std::size_t cells, const std::vector<CropRun>& runs);

  /// Largest difference of any figure from ours, relative to the larger of it and 1, over the first so many cells.
  double difference(const CropRecords& ours, int years, std::size_t cells);

 private:
  std::string folder_;
  std::FILE *to_ = nullptr, *from_ = nullptr;
  int process_ = 0;
  double ask(const std::string& line);
};

}  // namespace rickyard::bench
