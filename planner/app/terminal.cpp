#include "planner/app/terminal.h"

#include <fmt/core.h>
#include <unistd.h>

#include <cstdio>

namespace rickyard {

TerminalProgress::TerminalProgress() : on_terminal_(isatty(STDERR_FILENO) == 1) {}
TerminalProgress::~TerminalProgress() { clear_line(); }

void TerminalProgress::clear_line() {
  if (on_terminal_ && !stage_.empty()) fmt::print(stderr, "\r\033[K");
}

void TerminalProgress::stage(std::string_view name) {
  const std::lock_guard lock(mutex_);
  clear_line();
  stage_ = name;
  shown_percent_ = -1;
  began_ = std::chrono::steady_clock::now();
  if (on_terminal_) {
    fmt::print(stderr, "\r{} ...", stage_);
    std::fflush(stderr);
  }
}

void TerminalProgress::step(long long done, long long total) {
  if (!on_terminal_ || total <= 0) return;
  const std::lock_guard lock(mutex_);
  const int percent = static_cast<int>(100 * done / total);
  if (percent <= shown_percent_) return;
  shown_percent_ = percent;
  constexpr int kWidth = 30;
  const int filled = percent * kWidth / 100;
  // By what the steps so far took; not before there is something to go by.
  constexpr double kSettled = 3;  // seconds
  const double gone = std::chrono::duration<double>(std::chrono::steady_clock::now() - began_).count();
  const double left = gone * static_cast<double>(total - done) / static_cast<double>(done);
  const std::string words = done > 0 && gone > kSettled ? time_left_words(left) : "";
  fmt::print(stderr, "\r\033[K{} [{}{}] {} %{}{}", stage_, std::string(static_cast<std::size_t>(filled), '='),
             std::string(static_cast<std::size_t>(kWidth - filled), ' '), percent, words.empty() ? "" : ", ", words);
  std::fflush(stderr);
}

}  // namespace rickyard
