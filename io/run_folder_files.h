#pragma once
// Files written so that every failure is seen: short writes, a full disk, an error on sync or close.
#include <filesystem>
#include <string_view>

namespace rickyard {

/// Writes a new file (replacing one of that name), syncs and closes it. Throws OutputError: path, what failed, what to do.
void write_file(const std::filesystem::path& path, std::string_view bytes);

/// Syncs one existing file or folder to the disk. Throws OutputError.
void sync_to_disk(const std::filesystem::path& path);

/// Renames without ever replacing: false if `to` is taken. Throws OutputError on anything else.
bool rename_new(const std::filesystem::path& from, const std::filesystem::path& to);

/// Throws OutputError for the error number: "<path>: cannot be written: no space left on device; free some space or choose another place
/// with --out".
[[noreturn]] void cannot_write(const std::filesystem::path& path, const char* what, int error);

}  // namespace rickyard
