// The processes of mpirun or srun. The first deals chunks out, two at a time to each of the others, and grows chunks itself meanwhile.
#include <fmt/format.h>
#include <mpi.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <exception>
#include <mutex>
#include <thread>
#include <utility>

#include "planner/app/crew.h"
#include "planner/app/crew_words.h"
#include "planner/app/forecaster.h"
#include "planner/app/session.h"

namespace rickyard {
namespace {

enum Tag : int { kOrder = 1, kChunk = 2, kRecords = 3, kStop = 4 };
constexpr int kAhead = 2;  // chunks that wait at each process, so that none stands idle while a message travels

int errors_of_worker = -1;  // where a silent process may still speak: its first standard error

// Sent by mpirun to those that are left when one process ends early.
extern "C" void on_lost_process(int) {
  constexpr char kWords[] =
      "error: another process of this run has ended; nothing was written. What was grown is kept in the cache, and the same command goes "
      "on "
      "from there\n";
  if (write(STDERR_FILENO, kWords, sizeof kWords - 1) < 0) _exit(kOurFault);
  _exit(kOurFault);
}

struct Dealt {
  std::uint64_t position = 0, team = 0, index = 0;
};

// Chunks that nobody has taken yet.
class Deck {
 public:
  explicit Deck(const std::vector<CropChunk>& chunks) : chunks_(chunks) {}
  bool draw(Dealt& out) {
    const std::lock_guard lock(mutex_);
    if (next_ == chunks_.size()) return false;
    out = {next_, chunks_[next_].team, chunks_[next_].index};
    ++next_;
    return true;
  }

 private:
  const std::vector<CropChunk>& chunks_;
  std::mutex mutex_;
  std::size_t next_ = 0;
};

// What the thread that grows beside the messages has ready.
class Ready {
 public:
  void put(std::size_t position, std::vector<CropRecord> records) {
    const std::lock_guard lock(mutex_);
    done_.emplace_back(position, std::move(records));
  }
  void fail(std::exception_ptr error) {
    const std::lock_guard lock(mutex_);
    error_ = error;
  }
  std::vector<std::pair<std::size_t, std::vector<CropRecord>>> take() {
    const std::lock_guard lock(mutex_);
    if (error_) std::rethrow_exception(error_);
    return std::exchange(done_, {});
  }

 private:
  std::mutex mutex_;
  std::vector<std::pair<std::size_t, std::vector<CropRecord>>> done_;
  std::exception_ptr error_;
};

class MpiCrew : public CropCrew {
 public:
  void grow(const CropOrder& order, const std::vector<CropChunk>& chunks, const ChunkGrower& here, int threads,
            const std::function<void(std::size_t, std::vector<CropRecord>)>& take) override {
    const auto bytes = order_bytes(order);
    for (int rank = 1; rank < Crew::size(); ++rank)
      MPI_Send(bytes.data(), static_cast<int>(bytes.size()), MPI_BYTE, rank, kOrder, MPI_COMM_WORLD);
    Deck deck(chunks);
    Ready ready;
    for (int ahead = 0; ahead < kAhead; ++ahead)
      for (int rank = 1; rank < Crew::size(); ++rank) deal(deck, rank);
    const std::jthread beside([&] {
      try {
        for (Dealt chunk; deck.draw(chunk);) ready.put(chunk.position, here.grow({chunk.team, chunk.index}, threads));
      } catch (...) {
        ready.fail(std::current_exception());
      }
    });
    for (std::size_t taken = 0; taken < chunks.size();) {
      const std::size_t before = taken;
      for (auto& [position, records] : ready.take()) {
        take(position, std::move(records));
        ++taken;
      }
      while (receive(deck, take)) ++taken;
      if (taken == before) std::this_thread::sleep_for(std::chrono::microseconds(200));
    }
  }

 private:
  static void deal(Deck& deck, int rank) {
    Dealt chunk;
    if (deck.draw(chunk)) MPI_Send(&chunk, sizeof chunk, MPI_BYTE, rank, kChunk, MPI_COMM_WORLD);
  }
  static bool receive(Deck& deck, const std::function<void(std::size_t, std::vector<CropRecord>)>& take) {
    int there = 0;
    MPI_Status status;
    MPI_Iprobe(MPI_ANY_SOURCE, kRecords, MPI_COMM_WORLD, &there, &status);
    if (there == 0) return false;
    int size = 0;
    MPI_Get_count(&status, MPI_BYTE, &size);
    std::vector<char> bytes(static_cast<std::size_t>(size));
    MPI_Recv(bytes.data(), size, MPI_BYTE, status.MPI_SOURCE, kRecords, MPI_COMM_WORLD, MPI_STATUS_IGNORE);
    deal(deck, status.MPI_SOURCE);
    std::uint64_t position = 0;
    std::memcpy(&position, bytes.data(), sizeof position);
    std::vector<CropRecord> records((bytes.size() - sizeof position) / sizeof(CropRecord));
    std::memcpy(static_cast<void*>(records.data()), bytes.data() + sizeof position, records.size() * sizeof(CropRecord));
    take(position, std::move(records));
    return true;
  }
};

}  // namespace

Crew::Crew(int& argc, char**& argv) {
  int level = 0;
  MPI_Init_thread(&argc, &argv, MPI_THREAD_FUNNELED, &level);
  if (size() == 1) return;
  if (rank() == 0) {
    std::signal(SIGTERM, on_lost_process);
    return;
  }
  errors_of_worker = dup(STDERR_FILENO);
  if (std::freopen("/dev/null", "w", stdout) == nullptr || std::freopen("/dev/null", "w", stderr) == nullptr) errors_of_worker = -1;
}

Crew::~Crew() {
  if (rank() == 0)
    for (int other = 1; other < size(); ++other) MPI_Send(nullptr, 0, MPI_BYTE, other, kStop, MPI_COMM_WORLD);
  MPI_Finalize();
}

int Crew::rank() {
  int rank = 0;
  MPI_Comm_rank(MPI_COMM_WORLD, &rank);
  return rank;
}
int Crew::size() {
  int size = 1;
  MPI_Comm_size(MPI_COMM_WORLD, &size);
  return size;
}

std::unique_ptr<CropCrew> make_crew() { return Crew::rank() == 0 && Crew::size() > 1 ? std::make_unique<MpiCrew>() : nullptr; }

void serve_crew(Session& session, int threads) {
  Progress quiet;
  std::shared_ptr<const GeoReading> geography;
  std::vector<WeatherArchive> drawn;
  std::unique_ptr<ChunkGrower> grower;
  for (;;) {
    MPI_Status status;
    MPI_Probe(0, MPI_ANY_TAG, MPI_COMM_WORLD, &status);
    int size = 0;
    MPI_Get_count(&status, MPI_BYTE, &size);
    std::vector<std::uint8_t> bytes(static_cast<std::size_t>(size));
    if (status.MPI_TAG == kStop) return;  // left in its place: leave_crew may look for it
    MPI_Recv(bytes.data(), size, MPI_BYTE, 0, status.MPI_TAG, MPI_COMM_WORLD, MPI_STATUS_IGNORE);
    if (status.MPI_TAG == kOrder) {
      // The first process has packed the weather by now; this one maps it, where both see one cache.
      geography = session.geography(quiet);
      if (!geography->daily && drawn.empty()) drawn = drawn_archives(session.season(), *geography);
      const CropOrder order = order_of(bytes);
      const WeatherArchive& archive = geography->daily ? *geography->daily : drawn.at(static_cast<std::size_t>(order.draw));
      grower = std::make_unique<ChunkGrower>(geography->land, archive, session.season(), order);
      continue;
    }
    Dealt chunk;
    std::memcpy(&chunk, bytes.data(), sizeof chunk);
    const auto records = grower->grow({chunk.team, chunk.index}, threads);
    std::vector<char> answer(sizeof chunk.position + records.size() * sizeof(CropRecord));
    std::memcpy(answer.data(), &chunk.position, sizeof chunk.position);
    std::memcpy(answer.data() + sizeof chunk.position, records.data(), records.size() * sizeof(CropRecord));
    MPI_Send(answer.data(), static_cast<int>(answer.size()), MPI_BYTE, 0, kRecords, MPI_COMM_WORLD);
  }
}

void leave_crew(const std::string& words) {
  MPI_Status status;
  MPI_Probe(0, MPI_ANY_TAG, MPI_COMM_WORLD, &status);
  if (status.MPI_TAG == kStop) return;
  char host[MPI_MAX_PROCESSOR_NAME] = {};
  int length = 0;
  MPI_Get_processor_name(host, &length);
  const auto text = fmt::format("error: process {} of {} on {} cannot go on: {}\n", Crew::rank() + 1, Crew::size(), host, words);
  if (errors_of_worker >= 0 && write(errors_of_worker, text.data(), text.size()) < 0) MPI_Abort(MPI_COMM_WORLD, kOurFault);
  MPI_Abort(MPI_COMM_WORLD, kBadInput);
}

}  // namespace rickyard
