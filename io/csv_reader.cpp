#include <fmt/format.h>

#include <libfccp/csv.h>
#include <algorithm>
#include <fstream>
#include <iterator>

#include "io/raw_table.h"
#include "io/utf8.h"

namespace rickyard {
namespace {

using Quotes = ::io::double_quote_escape<',', '"'>;
using Trim = ::io::trim_chars<' ', '\t'>;

// Cuts a line into its cells, in place. Throws io::error::escaped_string_not_closed.
std::vector<std::string> cells_of(char* line) {
  std::vector<std::string> cells;
  while (line != nullptr) {
    char* begin = line;
    char* end = begin + (Quotes::find_next_column_end(begin) - begin);
    line = *end == '\0' ? nullptr : end + 1;
    *end = '\0';
    Trim::trim(begin, end);
    Quotes::unescape(begin, end);
    cells.emplace_back(begin, end);
  }
  return cells;
}

int line_at(std::string_view text, std::size_t offset) {
  return 1 + static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(offset), '\n'));
}

// Bytes that no text file holds; without this check a zero byte would silently end its line.
bool is_plain_text(std::string_view text, const std::string& place, ProblemList& problems) {
  if (const auto bad = first_invalid_utf8(text); bad != std::string_view::npos) {
    problems.error({place, line_at(text, bad), 0, ""}, "", fmt::format("byte {} of the file is not UTF-8", bad + 1),
                   "save the file as CSV UTF-8");
    return false;
  }
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const bool line_end = c == '\r' && i + 1 < text.size() && text[i + 1] == '\n';
    if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t' || line_end || (c == '\r' && i + 1 == text.size())) continue;
    problems.error({place, line_at(text, i), 0, ""}, "",
                   fmt::format("byte {} of the file is a control character (code {})", i + 1, static_cast<int>(c)),
                   "save the file as plain CSV with LF or CRLF line ends");
    return false;
  }
  return true;
}

bool all_empty(const std::vector<std::string>& cells) {
  return std::all_of(cells.begin(), cells.end(), [](const std::string& cell) { return cell.empty(); });
}

void add_row(RawTable& table, int number, std::vector<std::string> cells, ProblemList& problems) {
  if (all_empty(cells)) return;
  if (cells.size() == table.header.size()) {
    table.rows.push_back({number, std::move(cells)});
    return;
  }
  ++table.faulty_rows;
  problems.error({table.place, number, 0, ""}, "",
                 fmt::format("the row has {} cells, the header has {}", cells.size(), table.header.size()),
                 "give every row one cell for each column; put text with a comma in double quotes");
}

bool read_header(RawTable& table, std::vector<std::string> cells, ProblemList& problems) {
  if (cells.size() == 1 && cells[0].find(';') != std::string::npos) {
    problems.error({table.place, 1, 0, ""}, cells[0], "the columns are separated by semicolons",
                   "save the file as CSV with commas and decimal points");
    return false;
  }
  table.header = std::move(cells);
  return true;
}

}  // namespace

std::optional<std::string> read_bytes(const std::filesystem::path& path, const Place& place, ProblemList& problems) {
  std::error_code failed;
  const auto status = std::filesystem::status(path, failed);
  if (!std::filesystem::exists(status)) {
    problems.error(place, "", "the file does not exist", "check the name; paths are relative to season.toml");
    return std::nullopt;
  }
  if (!std::filesystem::is_regular_file(status)) {
    problems.error(place, "", "this is not a file", "name a file, not a folder or device");
    return std::nullopt;
  }
  const auto size = std::filesystem::file_size(path, failed);
  if (!failed && size > kLargestInput) {
    problems.error(place, "", fmt::format("the file holds {} MB, more than {} MB", size >> 20, kLargestInput >> 20),
                   "name the right file, or remove empty rows");
    return std::nullopt;
  }
  std::ifstream in(path, std::ios::binary);
  std::string bytes{std::istreambuf_iterator<char>(in), {}};
  if (failed || !in || in.bad()) {
    problems.error(place, "", "the file cannot be read", "check its permissions");
    return std::nullopt;
  }
  return bytes;
}

std::optional<RawTable> read_csv(const std::filesystem::path& path, const std::string& place, const Place& named_at,
                                 ProblemList& problems) {
  const auto text = read_bytes(path, named_at, problems);
  if (!text || !is_plain_text(*text, place, problems)) return std::nullopt;
  RawTable table;
  table.place = place;
  ::io::LineReader lines(place, text->data(), text->data() + text->size());
  bool has_header = false;
  try {
    while (char* line = lines.next_line()) {
      const int number = static_cast<int>(lines.get_file_line());
      try {
        auto cells = cells_of(line);
        if (has_header) {
          add_row(table, number, std::move(cells), problems);
        } else if (!all_empty(cells)) {
          if (!read_header(table, std::move(cells), problems)) return std::nullopt;
          has_header = true;
        }
      } catch (const ::io::error::escaped_string_not_closed&) {
        problems.error({place, number, 0, ""}, "", "a double quote is opened and not closed on this line",
                       "close the quote; a cell cannot hold a line break, and a quote inside quotes is doubled");
        if (!has_header) return std::nullopt;
        ++table.faulty_rows;
      }
    }
  } catch (const std::exception&) {
    problems.error({place, static_cast<int>(lines.get_file_line()), 0, ""}, "", "a line is too long", "this is not a CSV table");
    return std::nullopt;
  }
  if (!has_header) {
    problems.error({place, 1, 0, ""}, "", "the table is empty", "write the column names in row 1");
    return std::nullopt;
  }
  return table;
}

}  // namespace rickyard
