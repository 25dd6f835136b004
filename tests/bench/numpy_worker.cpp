#include "tests/bench/numpy_worker.h"

#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <stdexcept>

namespace rickyard::bench {
namespace {

constexpr const char* kPython = "/usr/bin/python3";  // Debian's own, which has NumPy

std::string request(int years, std::size_t cells, const std::vector<CropRun>& runs) {
  std::string line = std::to_string(years) + " " + std::to_string(cells);
  for (const auto& run : runs) line += " " + to_text(run.planned);
  return line + "\n";
}

// In the order of FIELDS in crop_numpy.py.
std::vector<double> figures(const CropRecord& r) {
  return {static_cast<double>(r.sown),
          static_cast<double>(r.emerged),
          static_cast<double>(r.stem_extension),
          static_cast<double>(r.heading),
          static_cast<double>(r.ripe),
          static_cast<double>(r.harvested),
          r.relative_yield,
          r.duration,
          r.duration_planned,
          r.water_factor,
          r.deficit_fill_mm,
          static_cast<double>(r.waterlogged_days),
          static_cast<double>(r.frost_nights),
          r.heat_degree_days,
          static_cast<double>(r.wet_days_harvest),
          r.rain_harvest_mm,
          r.grain_moisture_pct,
          static_cast<double>(r.combine_days),
          r.drainage_winter_mm,
          r.rain_apr_jul_mm,
          r.rain_mm};
}

}  // namespace

NumpyWorker::NumpyWorker(const std::string& folder) : folder_(folder) {
  int in[2], out[2];
  if (pipe(in) != 0 || pipe(out) != 0) throw std::runtime_error("no pipe to python3");
  process_ = fork();
  if (process_ < 0) throw std::runtime_error("python3 cannot be started");
  if (process_ == 0) {
    dup2(in[0], 0), dup2(out[1], 1);
    for (const int end : {in[0], in[1], out[0], out[1]}) close(end);
    setenv("OPENBLAS_NUM_THREADS", "1", 1);
    execl(kPython, kPython, RICKYARD_SOURCE_DIR "/tests/bench/crop_numpy.py", folder.c_str(), RICKYARD_SOURCE_DIR "/planner/METHODS.md",
          nullptr);
    _exit(127);
  }
  close(in[0]), close(out[1]);
  to_ = fdopen(in[1], "w"), from_ = fdopen(out[0], "r");
}

NumpyWorker::~NumpyWorker() {
  std::fclose(to_), std::fclose(from_);
  waitpid(process_, nullptr, 0);
}

double NumpyWorker::ask(const std::string& line) {
  char answer[64];
  if (std::fputs(line.c_str(), to_) < 0 || std::fflush(to_) != 0 || std::fgets(answer, sizeof answer, from_) == nullptr)
    throw std::runtime_error("crop_numpy.py gave no answer; it needs python3 with NumPy, see what it said above");
  return std::strtod(answer, nullptr);
}

double NumpyWorker::run(int years, std::size_t cells, const std::vector<CropRun>& runs) { return ask(request(years, cells, runs)); }

double NumpyWorker::difference(const CropRecords& ours, int years, std::size_t cells) {
  const std::string path = folder_ + "/records.f8";
  ask("records " + path + " " + request(years, cells, ours.runs));
  std::ifstream file(path, std::ios::binary);
  const std::size_t fields = figures({}).size(), dates = ours.runs.size();
  std::vector<double> theirs(fields * dates * static_cast<std::size_t>(years) * cells);
  file.read(reinterpret_cast<char*>(theirs.data()), static_cast<std::streamsize>(theirs.size() * sizeof(double)));
  if (!file) throw std::runtime_error(path + ": is too short");
  double most = 0;
  for (std::size_t run = 0; run < dates; ++run)
    for (int year = 0; year < years; ++year)
      for (std::size_t cell = 0; cell < cells; ++cell) {
        const auto mine = figures(ours.at(static_cast<int>(run), year, static_cast<int>(cell)));
        for (std::size_t f = 0; f < fields; ++f) {
          const double other =
              theirs[((f * dates + run) * static_cast<std::size_t>(years) + static_cast<std::size_t>(year)) * cells + cell];
          const double apart = std::abs(mine[f] - other) / std::max(1.0, std::abs(other));
          most = std::isnan(apart) ? 1e300 : std::max(most, apart);
        }
      }
  return most;
}

}  // namespace rickyard::bench
