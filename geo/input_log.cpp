#include "geo/input_log.h"

#include <algorithm>

namespace rickyard {

InputLog::InputLog(std::filesystem::path folder) : folder_(std::move(folder)) {
  if (!folder_.empty() && !folder_.has_filename()) folder_ = folder_.parent_path();  // "season/" is "season"
}

void InputLog::add(const Problem& problem) { problems.push_back(problem); }

void InputLog::error(std::string place, std::string value, std::string message, std::string remedy) {
  add({Severity::error, std::move(place), std::move(value), std::move(message), std::move(remedy)});
}

void InputLog::warning(std::string place, std::string value, std::string message, std::string remedy) {
  add({Severity::warning, std::move(place), std::move(value), std::move(message), std::move(remedy)});
}

void InputLog::note(std::string place, std::string value, std::string message, std::string remedy) {
  add({Severity::note, std::move(place), std::move(value), std::move(message), std::move(remedy)});
}

void InputLog::declared(std::string what, std::string value) {
  for (const auto& d : declarations)
    if (d.what == what) return;
  declarations.push_back({std::move(what), std::move(value)});
}

void InputLog::file(const std::filesystem::path& path) {
  if (path.string().starts_with("/vsi")) return;  // no file of this machine
  if (std::find(files.begin(), files.end(), path) == files.end()) files.push_back(path);
}

void InputLog::remote(const std::string& url) {
  if (std::find(remotes.begin(), remotes.end(), url) == remotes.end()) remotes.push_back(url);
}

void InputLog::append(const InputLog& other) {
  problems.insert(problems.end(), other.problems.begin(), other.problems.end());
  for (const auto& path : other.files) file(path);
  for (const auto& url : other.remotes) remote(url);
  for (const auto& declaration : other.declarations) declared(declaration.what, declaration.value);
  others_ = others_ || other.others_;
}

std::filesystem::path InputLog::locate(const std::string& shown) const {
  const std::filesystem::path path(shown);
  return path.is_absolute() ? path : folder_ / path;
}

std::string InputLog::quote(const std::string& gdal_words) const {
  if (gdal_words.empty()) return "GDAL gives no reason";
  std::string text = gdal_words;
  const std::string folder = folder_.string() + "/";
  for (std::size_t at = text.find(folder); folder.size() > 1 && at != std::string::npos; at = text.find(folder, at))
    text.erase(at, folder.size());
  return "GDAL says: \"" + text + "\"";
}

void InputLog::fail(std::string place, std::string value, std::string message, std::string remedy) {
  throw ReadFailure({Severity::error, std::move(place), std::move(value), std::move(message), std::move(remedy)});
}

}  // namespace rickyard
