#pragma once
// Progress on standard error, as a bar with the time left, on a terminal only.
#include <chrono>
#include <mutex>
#include <string>

#include "planner/base/progress.h"

namespace rickyard {

class TerminalProgress : public Progress {
 public:
  TerminalProgress();
  ~TerminalProgress() override;
  TerminalProgress(const TerminalProgress&) = delete;
  TerminalProgress& operator=(const TerminalProgress&) = delete;
  void stage(std::string_view name) override;
  void step(long long done, long long total) override;

 private:
  bool on_terminal_;
  std::mutex mutex_;
  std::string stage_;
  int shown_percent_ = -1;
  std::chrono::steady_clock::time_point began_;
  void clear_line();
};

}  // namespace rickyard
