#pragma once
// Where reading leaves what it found wrong, which files it read and what the season file had to declare.
#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include "planner/base/problem.h"
#include "planner/season/season.h"

namespace rickyard {

/// Stops the reading of one input; whoever drives that input turns it into a Problem and goes on with the next.
struct ReadFailure : std::runtime_error {
  explicit ReadFailure(Problem found) : std::runtime_error(to_text(found)), problem(std::move(found)) {}
  Problem problem;
};

class InputLog {
 public:
  /// folder: of season.toml; paths of the season are relative to it.
  explicit InputLog(std::filesystem::path folder);

  void error(std::string place, std::string value, std::string message, std::string remedy);
  void warning(std::string place, std::string value, std::string message, std::string remedy);
  void note(std::string place, std::string value, std::string message, std::string remedy);
  void add(const Problem& problem);
  /// The season file stated what a data file does not say.
  void declared(std::string what, std::string value);
  void file(const std::filesystem::path& path);
  /// A raster read over the network.
  void remote(const std::string& url);

  /// Where a path of the season file lies.
  std::filesystem::path locate(const std::string& shown) const;
  /// Text of GDAL with the folder's path taken out, as it goes into a message: `GDAL says: "..."`, or nothing.
  std::string quote(const std::string& gdal_words) const;

  /// A virtual file was read: what it holds depends on files that it need not name.
  void draws_on_others() { others_ = true; }
  bool names_all_files() const { return !others_; }
  /// Adds what another log of the same folder holds.
  void append(const InputLog& other);

  /// Throws ReadFailure with an error.
  [[noreturn]] static void fail(std::string place, std::string value, std::string message, std::string remedy);

  bool has_errors() const { return has_error(problems); }

  std::vector<Problem> problems;
  std::vector<std::filesystem::path> files;  // each once, in order of reading
  std::vector<std::string> remotes;          // each once
  std::vector<Declared> declarations;

 private:
  std::filesystem::path folder_;
  bool others_ = false;
};

}  // namespace rickyard
