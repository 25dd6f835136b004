#include "geo/raster_file.h"

#include <cpl_string.h>
#include <gdal.h>

#include "geo/gdal_words.h"
#include "geo/remote.h"

namespace rickyard {

std::unique_ptr<RasterFile> open_raster_file(const std::string& shown, const std::string& variable, InputLog& log) {
  prepare_gdal();
  const std::string name = gdal_name(shown, log);
  std::error_code error;
  if (!is_remote(shown) && !std::filesystem::exists(log.locate(shown), error))
    InputLog::fail(shown, "", "there is no such file", "check the path; it is taken from the folder of season.toml");
  // Formats that hold named variables on a time axis; everything else is bands.
  const GdalWords words;
  const RemoteOpening plain(name);
  GDALDriverH driver = GDALIdentifyDriverEx(name.c_str(), GDAL_OF_MULTIDIM_RASTER, nullptr, nullptr);
  const std::string format = driver == nullptr ? "" : GDALGetDriverShortName(driver);
  if (format == "netCDF" || format == "Zarr") return open_cube_file(shown, variable, log);
  return open_band_file(shown, variable, log);
}

}  // namespace rickyard
