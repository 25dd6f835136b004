#pragma once
// A season folder made by the generator as a user runs it.
#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <string>

namespace rickyard::demo {

/// Every file of the folder by its path in it; the folder is removed. before, after: what stands on the command line around its name.
inline std::map<std::string, std::string> made_folder(const std::string& name, const std::string& before, const std::string& after) {
  namespace fs = std::filesystem;
  const fs::path folder = fs::path(RICKYARD_BINARY_DIR) / "tests-demo" / name;
  fs::remove_all(folder);
  fs::create_directories(folder.parent_path());
  const std::string command = "\"" RICKYARD_DEMO_PROGRAM "\" " + before + " \"" + folder.string() + "\" " + after + " > /dev/null";
  REQUIRE(std::system(command.c_str()) == 0);
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (!entry.is_regular_file()) continue;
    std::ifstream file(entry.path(), std::ios::binary);
    files[fs::relative(entry.path(), folder).string()] = {std::istreambuf_iterator<char>(file), {}};
  }
  fs::remove_all(folder);
  return files;
}

}  // namespace rickyard::demo
