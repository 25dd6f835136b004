#pragma once
// A run folder: complete under its final name, or not there at all.
#include <ctime>
#include <filesystem>
#include <string>
#include <string_view>

namespace rickyard {

/// "<name>-<YYYYMMDDThhmmssZ>": the name with everything but letters, digits, "." "_" "-" turned into "-", no leading dot,
/// at most 80 bytes; "run" where nothing is left.
std::string run_folder_name(std::string_view name, std::time_t utc);

/// Files are written into a hidden sibling of the final folder, ".partial-<name>-XXXXXX". commit() syncs them and renames
/// that folder; a name that is taken gets -2, -3, ...: nothing is ever replaced. A folder that is not committed is removed
/// by the destructor; after a kill it stays behind under its hidden name and may be deleted at any time.
/// Everything throws OutputError with the path, the reason and what to do.
class RunFolder {
 public:
  /// parent is made where it is missing: <season folder>/runs/<crop year>, or what --out names. utc: when the run was made.
  RunFolder(const std::filesystem::path& parent, std::string_view name, std::time_t utc);
  ~RunFolder();
  RunFolder(const RunFolder&) = delete;
  RunFolder& operator=(const RunFolder&) = delete;

  /// Writes one file. name: a plain file name, else std::logic_error.
  void write(std::string_view name, std::string_view bytes);
  /// Where a library may write the file of this name itself, before commit().
  std::filesystem::path path(std::string_view name) const;
  /// The folder's final path. Once only.
  std::filesystem::path commit();

 private:
  std::filesystem::path parent_, temporary_;
  std::string name_;
  bool committed_ = false;
};

}  // namespace rickyard
