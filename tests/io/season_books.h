#pragma once
// Test support: season folders on disk, CSV tables turned into books, seasons compared field by field.
#include <filesystem>
#include <string>
#include <vector>

#include "planner/season/season.h"

namespace rickyard::season_tests {

/// A folder of its own under the build tree, emptied at construction and removed at the end.
class TemporaryFolder {
 public:
  explicit TemporaryFolder(const std::string& name);
  ~TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

std::string text_of(const std::filesystem::path& file);
void write_text(const std::filesystem::path& file, const std::string& text);
/// Replaces every occurrence; the text must occur.
std::string replaced(std::string text, const std::string& from, const std::string& to);

/// Cells as written; for books, where OGR would otherwise guess.
enum class BookCells { typed, text };

/// Writes the named CSV files of a folder as sheets ("contracts.csv" -> sheet contracts) of one book, by OGR.
/// typed: a column whose cells are all numbers (dates) becomes a number (date) column, as a user's book would have it.
void write_book(const std::filesystem::path& folder, const std::vector<std::string>& csv_files, const std::filesystem::path& book,
                const std::string& driver, BookCells cells);

/// Names of the fields that differ ("contracts[1].yield_t_ha"); empty when two seasons say the same. File names and paths are not compared.
std::vector<std::string> differences(const Season& a, const Season& b);

}  // namespace rickyard::season_tests
