#pragma once
// Work in a process of its own, for tests of what a killed process leaves.
#include <sys/wait.h>
#include <unistd.h>

namespace rickyard {

/// Runs work in a child process; its exit code, or minus the signal that ended it.
template <class Work>
int in_child(Work work) {
  const pid_t child = ::fork();
  if (child == 0) ::_exit(work());
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFSIGNALED(status) ? -WTERMSIG(status) : WEXITSTATUS(status);
}

}  // namespace rickyard
