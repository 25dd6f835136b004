// Rasters on a server: only what is needed crosses the network, and the state of the server's file stands for its bytes.
#include <gdal_priv.h>
#include <unistd.h>

#include <sys/wait.h>

#include <doctest/doctest.h>
#include <array>
#include <csignal>
#include <fstream>
#include <numeric>
#include <sstream>

#include "geo/gdal_words.h"
#include "memory_cache.h"
#include "scene.h"

using namespace rickyard;
using namespace rickyard::test;

namespace {

class RangeServer {
 public:
  RangeServer(const std::filesystem::path& folder, std::string log) : log_(std::move(log)) {
    std::array<int, 2> to{}, from{};
    REQUIRE(pipe(to.data()) == 0);
    REQUIRE(pipe(from.data()) == 0);
    const std::string script = RICKYARD_SOURCE_DIR "/tests/geo/range_server.py", served = folder.string();
    process_ = fork();
    if (process_ == 0) {
      dup2(to[0], 0);
      dup2(from[1], 1);
      for (const int end : {to[0], to[1], from[0], from[1]}) close(end);
      execl("/usr/bin/python3", "python3", script.c_str(), served.c_str(), log_.c_str(), nullptr);
      _exit(127);
    }
    close(to[0]);
    close(from[1]);
    input_ = to[1];
    std::string port;
    for (char c = 0; read(from[0], &c, 1) == 1 && c != '\n';) port += c;
    close(from[0]);
    REQUIRE_FALSE(port.empty());
    address_ = "http://127.0.0.1:" + port + "/";
  }
  ~RangeServer() { stop(); }
  RangeServer(const RangeServer&) = delete;
  RangeServer& operator=(const RangeServer&) = delete;

  void stop() {
    if (process_ <= 0) return;
    close(input_);
    int status = 0;
    waitpid(process_, &status, 0);
    process_ = 0;
  }
  const std::string& address() const { return address_; }
  /// Bytes and requests since the last call.
  struct Served {
    long long bytes = 0;
    int requests = 0;
  };
  Served served() const {
    Served out;
    std::ifstream in(log_);
    std::string method, path;
    long long bytes = 0;
    while (in >> method >> path >> bytes) {
      out.bytes += bytes;
      ++out.requests;
    }
    std::ofstream(log_, std::ios::trunc);
    return out;
  }

 private:
  std::string log_, address_;
  pid_t process_ = 0;
  int input_ = -1;
};

void copy_as_cog(const std::string& from, const std::string& to) {
  const GdalWords words;
  const std::unique_ptr<GDALDataset> source(GDALDataset::Open(from.c_str()));
  REQUIRE(source != nullptr);
  const char* options[] = {"BLOCKSIZE=128", "COMPRESS=NONE", "OVERVIEWS=NONE", nullptr};
  const std::unique_ptr<GDALDataset> copy(GetGDALDriverManager()->GetDriverByName("COG")->CreateCopy(
      to.c_str(), source.get(), 0, const_cast<char**>(options), nullptr, nullptr));
  REQUIRE_MESSAGE(copy != nullptr, words.text());
}

// 1,000 x 1,000 cells, of which the regions touch a few; rain lies on a server.
struct RemoteScene : Scene {
  TemporaryFolder served;
  RangeServer server;
  RemoteScene() : server(served.path(), folder / "served.log") {
    for (auto* raster : {&rain, &tmin, &tmax}) {
      raster->columns = raster->rows = 1000;
      raster->width = raster->height = 0.01;
    }
    rain.value = [](int b, int r, int c) { return 0.01 * (b + (r * 31 + c) % 500); };
    write();
    copy_as_cog(folder / "rain.tif", served / "rain.tif");
    season.rasters["rain"].path = server.address() + "rain.tif";
  }
  GeoReading read_with(Cache* cache) const {
    Progress progress;
    return read_geography(season, folder.path(), progress, {2, std::size_t{1} << 30, cache});
  }
};

}  // namespace

TEST_CASE("a cloud-optimised GeoTIFF on a server is read by ranges, and gives what the file gives") {
  RemoteScene scene;
  const auto remote = scene.read_with(nullptr);
  CHECK(lines(remote.problems) == "");
  const auto served = scene.server.served();
  const auto size = static_cast<long long>(std::filesystem::file_size(scene.served / "rain.tif"));
  MESSAGE("served " << served.bytes << " of " << size << " bytes in " << served.requests << " requests");
  CHECK(served.bytes > 0);
  CHECK(served.bytes < size / 10);
  REQUIRE(remote.remote.size() == 1);
  CHECK(remote.remote[0].url == scene.server.address() + "rain.tif");
  CHECK(remote.remote[0].identity.starts_with("size " + std::to_string(size) + ", ETag \""));
  CHECK(remote.files.size() == 4);  // two rasters, the dates, the regions
  scene.season.rasters["rain"].path = "rain.tif";
  const auto local = scene.read_with(nullptr);
  CHECK(remote.daily->rain_cmm == local.daily->rain_cmm);
  CHECK(local.remote.empty());
}

TEST_CASE("a kept reading asks the server for its state only, and is made anew when that changed") {
  RemoteScene scene;
  MemoryCache cache;
  const auto first = scene.read_with(&cache);
  CHECK(lines(first.problems) == "");
  scene.server.served();
  const auto second = scene.read_with(&cache);
  const auto served = scene.server.served();
  CHECK(served.bytes == 0);
  CHECK(served.requests > 0);
  CHECK(second.daily->rain_cmm == first.daily->rain_cmm);
  CHECK(second.remote[0].identity == first.remote[0].identity);
  scene.rain.value = [](int, int, int) { return 2.0; };
  scene.write();
  copy_as_cog(scene.folder / "rain.tif", scene.served / "rain.tif");
  const auto changed = scene.read_with(&cache);
  CHECK(changed.daily->rain_cmm[0] == 200);
  CHECK(changed.remote[0].identity != first.remote[0].identity);
}

TEST_CASE("a file that is not on the server, and a server that is gone") {
  RemoteScene scene;
  MemoryCache cache;
  CHECK(lines(scene.read_with(&cache).problems) == "");
  scene.season.rasters["rain"].path = scene.server.address() + "snow.tif";
  const std::string remedy = "; check the address, that the server is up and that it answers range requests";
  CHECK(lines(scene.read_with(&cache).problems) ==
        "error: " + scene.server.address() + "snow.tif: cannot be opened over the network; GDAL says: \"HTTP response code: 404\"" +
            remedy);
  scene.season.rasters["rain"].path = scene.server.address() + "rain.tif";
  scene.server.stop();
  INFO("the server is gone");
  const auto gone = lines(scene.read_with(&cache).problems);
  MESSAGE(gone);
  CHECK(gone.starts_with("error: " + scene.server.address() + "rain.tif: cannot be opened over the network; GDAL "));
  CHECK(gone.ends_with(remedy));
}

TEST_CASE("a Zarr store on a server") {
  Scene scene;
  TemporaryFolder served;
  RangeServer server(served.path(), scene.folder / "served.log");
  Cube cube;
  cube.driver = "Zarr";
  cube.chunks = "2,2,2";
  cube.variables = {{"rain", "mm", {}, {}, {}, false, [](int b, int r, int c) { return 0.25 * b + r + 0.01 * c; }},
                    {"tmin", "C", {}, {}, {}, false, [](int b, int, int) { return b; }},
                    {"tmax", "C", {}, {}, {}, false, [](int b, int, int) { return 10.0 + b; }}};
  scene.write();
  write_cube(served / "weather.zarr", cube);
  for (auto& [key, source] : scene.season.rasters) {
    source.path = server.address() + "weather.zarr";
    source.variable = key;
    source.dates = "";
  }
  MemoryCache cache;
  Progress progress;
  const auto remote = read_geography(scene.season, scene.folder.path(), progress, {2, std::size_t{1} << 30, &cache});
  CHECK(lines(remote.problems) == "");
  REQUIRE(remote.daily.has_value());
  CHECK(remote.daily->rain_cmm[remote.daily->at(1, 7)] == 128);
  CHECK(remote.remote.size() == 1);
  CHECK(cache.count("geography") == 1);
}
