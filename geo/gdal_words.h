#pragma once
// GDAL's error output: captured for messages, never printed.
#include <string>
#include <vector>

namespace rickyard {

/// Registers GDAL's drivers once and silences its default error output in every thread.
void prepare_gdal();

/// Captures what GDAL says on this thread while it lives; scopes nest, each sees its own.
class GdalWords {
 public:
  GdalWords();
  ~GdalWords();
  GdalWords(const GdalWords&) = delete;
  GdalWords& operator=(const GdalWords&) = delete;

  /// Failures so far, each once, at most three, joined by "; "; warnings where there was no failure. Empty if nothing was said.
  std::string text() const;
  bool failed() const { return !failures_.empty(); }

 private:
  static void take(int error_class, int number, const char* message);
  std::vector<std::string> failures_, warnings_;
};

/// Sets a GDAL option for this thread while it lives.
class GdalOption {
 public:
  GdalOption(const char* key, const std::string& value);
  ~GdalOption();
  GdalOption(const GdalOption&) = delete;
  GdalOption& operator=(const GdalOption&) = delete;

 private:
  std::string key_, before_;
  bool had_ = false;
};

}  // namespace rickyard
