#include "geo/raster_file.h"

#include <cpl_string.h>
#include <gdal.h>

#include "geo/gdal_words.h"

namespace rickyard {

std::unique_ptr<RasterFile> open_raster_file(const std::string& shown, const std::string& variable, InputLog& log) {
  prepare_gdal();
  const auto path = log.locate(shown);
  std::error_code error;
  if (!std::filesystem::exists(path, error))
    InputLog::fail(shown, "", "there is no such file", "check the path; it is taken from the folder of season.toml");
  // Formats that hold named variables on a time axis; everything else is bands.
  const GdalWords quiet;
  GDALDriverH driver = GDALIdentifyDriverEx(path.c_str(), GDAL_OF_MULTIDIM_RASTER, nullptr, nullptr);
  const std::string format = driver == nullptr ? "" : GDALGetDriverShortName(driver);
  if (format == "netCDF" || format == "Zarr") return open_cube_file(shown, variable, log);
  return open_band_file(shown, variable, log);
}

}  // namespace rickyard
