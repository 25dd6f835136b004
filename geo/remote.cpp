#include "geo/remote.h"

#include <cpl_string.h>
#include <cpl_vsi.h>
#include <cpl_vsi_error.h>
#include <fmt/format.h>

#include "geo/gdal_words.h"

namespace rickyard {
namespace {

constexpr std::string_view kCurl = "/vsicurl/";

// A remote Zarr store has no listing: its driver must be named.
bool names_zarr(const std::string& shown) { return shown.ends_with(".zarr") || shown.ends_with(".zarr/"); }

std::string curl_name(const std::string& shown) { return shown.starts_with(kCurl) ? shown : std::string(kCurl) + shown; }

// The object whose state stands for the whole: of a Zarr store its consolidated description.
std::string told_by(const std::string& shown) {
  std::string name = curl_name(shown);
  if (!names_zarr(shown)) return name;
  if (name.back() != '/') name += '/';
  return name + ".zmetadata";
}

}  // namespace

bool is_remote(const std::string& shown) {
  return shown.starts_with("http://") || shown.starts_with("https://") || shown.starts_with(kCurl);
}

std::string gdal_name(const std::string& shown, const InputLog& log) {
  if (!is_remote(shown)) return log.locate(shown).string();
  return names_zarr(shown) ? "ZARR:\"" + curl_name(shown) + "\"" : curl_name(shown);
}

bool is_remote_name(const std::string& name) { return name.find(kCurl) != std::string::npos; }

bool is_zarr(const std::string& name) {
  std::error_code error;
  return name.starts_with("ZARR:") || std::filesystem::is_directory(name, error);
}

void fail_remote(const std::string& shown, const std::string& gdal_words) {
  // Asked once more for its first byte: on opening GDAL says no more than that there is nothing.
  const std::string name = told_by(shown);
  VSICurlPartialClearCache(name.c_str());
  VSIErrorReset();
  VSILFILE* file = VSIFOpenExL(name.c_str(), "rb", 1);
  const char* said = VSIGetLastErrorMsg();
  std::string words = file == nullptr && said != nullptr ? said : "";
  if (file != nullptr) VSIFCloseL(file);
  if (words.empty()) words = gdal_words;
  InputLog::fail(shown, "", "cannot be opened over the network; " + InputLog({}).quote(words),
                 "check the address, that the server is up and that it answers range requests");
}

std::optional<std::string> remote_identity(const std::string& shown) {
  const std::string name = told_by(shown);
  const GdalWords quiet;
  VSICurlPartialClearCache(curl_name(shown).c_str());
  VSIStatBufL stat;
  if (VSIStatExL(name.c_str(), &stat, VSI_STAT_EXISTS_FLAG | VSI_STAT_SIZE_FLAG) != 0) return std::nullopt;
  char** headers = VSIGetFileMetadata(name.c_str(), "HEADERS", nullptr);
  const auto header = [&](const char* key) {
    const char* value = CSLFetchNameValue(headers, key);
    return std::string(value == nullptr ? "" : value);
  };
  const std::string etag = header("ETag"), changed = header("Last-Modified");
  CSLDestroy(headers);
  if (etag.empty() && changed.empty()) return std::nullopt;
  return fmt::format("size {}, ETag {}, changed {}", stat.st_size, etag.empty() ? "-" : etag, changed.empty() ? "-" : changed);
}

struct RemoteOpening::Options {
  GdalOption no_listing{"GDAL_DISABLE_READDIR_ON_OPEN", "EMPTY_DIR"};
};

RemoteOpening::RemoteOpening(const std::string& name) : options_(is_remote_name(name) ? new Options : nullptr) {}
RemoteOpening::~RemoteOpening() = default;

}  // namespace rickyard
