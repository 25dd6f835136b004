#include "geo/gdal_words.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <gdal.h>

#include <algorithm>
#include <mutex>

namespace rickyard {

void prepare_gdal() {
  static std::once_flag once;
  std::call_once(once, [] {
    CPLSetErrorHandler(CPLQuietErrorHandler);
    GDALAllRegister();
    // One pass over an archive reuses no block; the default of 5 % of memory only fills with fresh pages.
    if (CPLGetConfigOption("GDAL_CACHEMAX", nullptr) == nullptr) GDALSetCacheMax64(64LL << 20);
  });
}

GdalWords::GdalWords() {
  prepare_gdal();
  CPLPushErrorHandlerEx(
      [](CPLErr error_class, CPLErrorNum number, const char* message) { take(static_cast<int>(error_class), number, message); }, this);
}

GdalWords::~GdalWords() { CPLPopErrorHandler(); }

void GdalWords::take(int error_class, int /*number*/, const char* message) {
  auto* self = static_cast<GdalWords*>(CPLGetErrorHandlerUserData());
  if (self == nullptr || message == nullptr || error_class < CE_Warning) return;
  auto& list = error_class == CE_Warning ? self->warnings_ : self->failures_;
  std::string text(message);
  std::replace(text.begin(), text.end(), '\n', ' ');
  if (list.size() < 3 && std::find(list.begin(), list.end(), text) == list.end()) list.push_back(text);
}

std::string GdalWords::text() const {
  std::string out;
  for (const auto& line : failures_.empty() ? warnings_ : failures_) out += (out.empty() ? "" : "; ") + line;
  return out;
}

GdalOption::GdalOption(const char* key, const std::string& value) : key_(key) {
  if (const char* before = CPLGetThreadLocalConfigOption(key, nullptr)) {
    had_ = true;
    before_ = before;
  }
  CPLSetThreadLocalConfigOption(key, value.c_str());
}

GdalOption::~GdalOption() { CPLSetThreadLocalConfigOption(key_.c_str(), had_ ? before_.c_str() : nullptr); }

}  // namespace rickyard
