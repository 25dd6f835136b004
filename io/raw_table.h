#pragma once
// A table as text, from a CSV file or a sheet, before anything is understood.
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/problem_list.h"

namespace rickyard {

struct RawRow {
  int number = 0;                  // 1-based row of the file; the header is row 1
  std::vector<std::string> cells;  // as many as the header has
};

struct RawTable {
  std::string place;  // "contracts.csv" or "book.xlsx[contracts]"
  std::vector<std::string> header;
  std::vector<RawRow> rows;  // rows without any text are left out
  int faulty_rows = 0;       // rows that could not be cut into cells, reported already
  bool sheet = false;        // dates may be spelled YYYY/MM/DD
};

/// Files larger than this are refused: a season's table has thousands of rows, not millions.
inline constexpr std::uintmax_t kLargestInput = 64u << 20;

/// The bytes of a regular file, or nullopt with an error added at `place`.
std::optional<std::string> read_bytes(const std::filesystem::path& path, const Place& place, ProblemList& problems);

/// Reads a CSV file. Ragged rows and unclosed quotes are added to `problems` and skipped; nullopt where no header could be read.
/// `place` is how the file is called in messages; `named_at` where it is named (a missing file is reported there).
std::optional<RawTable> read_csv(const std::filesystem::path& path, const std::string& place, const Place& named_at, ProblemList& problems);

/// Reads one sheet of an XLSX or ODS book; the first row is the header. Otherwise as read_csv.
std::optional<RawTable> read_sheet(const std::filesystem::path& path, const std::string& sheet, const std::string& place,
                                   const Place& named_at, ProblemList& problems);

}  // namespace rickyard
