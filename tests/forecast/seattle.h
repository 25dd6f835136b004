#pragma once
// The public daily weather series of Seattle 2012-2015 (NOAA data as packed in vega-datasets; Debian package python3-vega-datasets).
#include <fstream>
#include <stdexcept>
#include <string>

#include "planner/weather/archive.h"

namespace rickyard::testing {

/// One cell, quantised; throws where the file is missing: the package belongs to the test machine.
inline WeatherArchive seattle_archive() {
  const char* path = "/usr/lib/python3/dist-packages/vega_datasets/_data/seattle-weather.csv";
  std::ifstream file(path);
  if (!file) throw std::runtime_error(std::string("install python3-vega-datasets: cannot read ") + path);
  WeatherArchive archive;
  archive.cells = 1;
  archive.first_day = Date(2012, 1, 1);
  std::string line;
  std::getline(file, line);
  if (line.rfind("date,precipitation,temp_max,temp_min", 0) != 0)
    throw std::runtime_error("unknown columns in the Seattle series: " + line);
  while (std::getline(file, line)) {
    for (char& c : line)
      if (c == '/') c = '-';  // this copy writes 2012/01/01, the npm copy 2012-01-01
    const Date date = parse_date(line.substr(0, 10)).value();
    if (date != archive.first_day + boost::gregorian::days(archive.days))
      throw std::runtime_error("the Seattle series has a gap before " + line);
    std::size_t at = 11, used = 0;
    double value[3];
    for (double& v : value) {
      v = std::stod(line.substr(at), &used);
      at += used + 1;
    }
    archive.rain_cmm.push_back(static_cast<std::uint16_t>(std::lround(100 * value[0])));
    archive.tmax_cc.push_back(static_cast<std::int16_t>(std::lround(100 * value[1])));
    archive.tmin_cc.push_back(static_cast<std::int16_t>(std::lround(100 * value[2])));
    ++archive.days;
  }
  return archive;
}

}  // namespace rickyard::testing
