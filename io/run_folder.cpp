#include "io/run_folder.h"

#include <stdlib.h>
#include <sys/stat.h>

#include <array>
#include <cerrno>
#include <stdexcept>
#include <vector>

#include "io/run_folder_files.h"
#include "planner/base/problem.h"

namespace rickyard {
namespace {

constexpr int kMostNames = 9999;

void check_plain(std::string_view name) {
  if (name.empty() || name == "." || name == ".." || name.find_first_of("/\\") != std::string_view::npos)
    throw std::logic_error("not a plain file name: \"" + std::string(name) + "\"");
}

void make_folders(const std::filesystem::path& folder) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (error) cannot_write(folder, "cannot be made", error.value());
}

// Every file, then every folder that holds them, deepest last entries first, so that names are synced after contents.
void sync_tree(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> folders{folder};
  std::error_code error;
  for (std::filesystem::recursive_directory_iterator at(folder, error), end; !error && at != end; at.increment(error)) {
    if (at->is_directory())
      folders.push_back(at->path());
    else
      sync_to_disk(at->path());
  }
  if (error) cannot_write(folder, "cannot be read back", error.value());
  for (auto at = folders.rbegin(); at != folders.rend(); ++at) sync_to_disk(*at);
}

}  // namespace

std::string run_folder_name(std::string_view name, std::time_t utc) {
  constexpr std::size_t kMostBytes = 80;
  std::string clean;
  for (char c : name.substr(0, kMostBytes)) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' || c == '_' || c == '-';
    clean += plain ? c : '-';
  }
  const auto first = clean.find_first_not_of(".-");
  clean = first == std::string::npos ? "run" : clean.substr(first);
  std::tm parts{};
  if (!::gmtime_r(&utc, &parts)) throw std::logic_error("not a time a run can have");
  std::array<char, 32> stamp{};
  const std::size_t n = std::strftime(stamp.data(), stamp.size(), "%Y%m%dT%H%M%SZ", &parts);
  return clean + "-" + std::string(stamp.data(), n);
}

RunFolder::RunFolder(const std::filesystem::path& parent, std::string_view name, std::time_t utc)
    : parent_(parent), name_(run_folder_name(name, utc)) {
  if (parent_.empty()) parent_ = ".";
  make_folders(parent_);
  std::string pattern = (parent_ / (".partial-" + name_ + "-XXXXXX")).string();
  if (!::mkdtemp(pattern.data())) cannot_write(parent_, "takes no new folder", errno);
  temporary_ = pattern;
  // mkdtemp makes a folder for its owner only; a run is as readable as any other folder the user makes.
  const mode_t mask = ::umask(0);
  ::umask(mask);
  if (::chmod(temporary_.c_str(), 0777 & ~mask) != 0) {
    const int error = errno;
    std::error_code ignored;
    std::filesystem::remove_all(temporary_, ignored);
    cannot_write(temporary_, "cannot be made readable", error);
  }
}

RunFolder::~RunFolder() {
  std::error_code ignored;
  if (!committed_) std::filesystem::remove_all(temporary_, ignored);
}

std::filesystem::path RunFolder::path(std::string_view name) const {
  check_plain(name);
  return temporary_ / std::string(name);
}

void RunFolder::write(std::string_view name, std::string_view bytes) { write_file(path(name), bytes); }

std::filesystem::path RunFolder::commit() {
  if (committed_) throw std::logic_error("a run folder is committed once");
  sync_tree(temporary_);
  for (int n = 1; n <= kMostNames; ++n) {
    const auto target = parent_ / (n == 1 ? name_ : name_ + "-" + std::to_string(n));
    if (!rename_new(temporary_, target)) continue;
    committed_ = true;
    sync_to_disk(parent_);
    return target;
  }
  throw OutputError((parent_ / name_).generic_string() + ": this name and the " + std::to_string(kMostNames - 1) +
                    " after it are taken; choose another name with --name");
}

}  // namespace rickyard
