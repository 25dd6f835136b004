#pragma once
// What a season's geography is made from, as text: equal texts mean equal results.
#include <filesystem>
#include <map>
#include <set>
#include <string>

#include "geo/input_log.h"
#include "planner/base/cache.h"
#include "planner/season/season.h"

namespace rickyard {

/// By URL as written; "" where the server does not answer or tells nothing.
using RemoteIdentities = std::map<std::string, std::string>;
RemoteIdentities remote_identities(const Season& season);

class GeographyKey {
 public:
  /// Digests every source file. log: says where paths lie.
  GeographyKey(const Season& season, const RemoteIdentities& remotes, const InputLog& log, Cache& cache);

  /// Of the weather rasters, without the cells that are read; of everything. Empty where a source cannot be identified.
  const std::string& weather() const { return weather_; }
  const std::string& all() const { return all_; }
  /// Whether the texts speak of each of these files.
  bool covers(const std::vector<std::filesystem::path>& files) const;

 private:
  void raster(const std::string& name, const RasterSource& source);
  void source(const std::string& shown);
  void file_and_kin(const std::filesystem::path& path, const std::string& shown);
  void field(const std::string& name, const std::string& value);

  const RemoteIdentities& remotes_;
  const InputLog& log_;
  Cache& cache_;
  std::string text_, weather_, all_;
  std::set<std::filesystem::path> files_;  // and folders that count whole
  bool known_ = true;
};

}  // namespace rickyard
