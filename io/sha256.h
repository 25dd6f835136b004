#pragma once
// SHA-256 of bytes, files and folders, as 64 lower-case hexadecimal digits.
#include <filesystem>
#include <string>
#include <string_view>

namespace rickyard {

std::string sha256_hex(std::string_view bytes);

/// Of a file's bytes, read in blocks. Of a folder (a Zarr store): of the lines "<hex of file>  <path inside it>\n", sorted by path.
/// Throws InputError naming the path where something cannot be read.
std::string sha256_of_file(const std::filesystem::path& path);

}  // namespace rickyard
