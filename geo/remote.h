#pragma once
// Rasters on a server, read by HTTP range requests (GDAL's /vsicurl/).
#include <memory>
#include <optional>
#include <string>

#include "geo/input_log.h"

namespace rickyard {

/// "http://...", "https://..." or "/vsicurl/...".
bool is_remote(const std::string& shown);
/// Under this name GDAL opens it. A remote path that ends with ".zarr" is opened as a Zarr store.
std::string gdal_name(const std::string& shown, const InputLog& log);
/// Whether a name that gdal_name gave is that of a remote raster.
bool is_remote_name(const std::string& name);
/// Whether a name that gdal_name gave is that of a Zarr store: such a file has no lock of its own.
bool is_zarr(const std::string& name);
/// A server that cannot be reached, or a raster that cannot be opened on it. Throws ReadFailure.
[[noreturn]] void fail_remote(const std::string& shown, const std::string& gdal_words);

/// What tells one state of a remote raster from another: size, ETag, date of change, as the server states them; one line.
/// nullopt where the server cannot be reached or states neither ETag nor date. Asks the server anew, whatever GDAL remembers.
std::optional<std::string> remote_identity(const std::string& shown);

/// While it lives, nothing beside the raster is asked for on this thread (sidecar files, listings), where name is remote.
class RemoteOpening {
 public:
  explicit RemoteOpening(const std::string& name);
  ~RemoteOpening();
  RemoteOpening(const RemoteOpening&) = delete;
  RemoteOpening& operator=(const RemoteOpening&) = delete;

 private:
  struct Options;
  std::unique_ptr<Options> options_;
};

}  // namespace rickyard
