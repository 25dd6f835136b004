// Digests that are remembered. Whether a file's bytes were read is seen from outside, with inotify.
#include "io/file_cache_digests.h"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/inotify.h>
#include <sys/stat.h>

#include <array>
#include <atomic>
#include <chrono>
#include <thread>

#include "io/file_cache.h"
#include "io/sha256.h"
#include "planner/base/problem.h"
#include "tests/io/cache_folder.h"

using namespace rickyard;
namespace fs = std::filesystem;

namespace {

constexpr std::uint64_t kLimit = 1'000'000;

// A clock ten seconds ahead: whatever was just written has been at rest for long enough.
std::int64_t later_ns() { return FileCache::wall_clock_ns() + 10'000'000'000; }

// Counts how often a file, or a file in a folder, is opened.
class Opened {
 public:
  explicit Opened(const fs::path& path) : fd_(::inotify_init1(IN_NONBLOCK | IN_CLOEXEC)) {
    REQUIRE(::inotify_add_watch(fd_, path.c_str(), IN_OPEN) >= 0);
  }
  ~Opened() { ::close(fd_); }
  Opened(const Opened&) = delete;
  Opened& operator=(const Opened&) = delete;
  bool any() const {
    alignas(inotify_event) std::array<char, 4096> events{};
    return ::read(fd_, events.data(), events.size()) > 0;
  }

 private:
  int fd_;
};

void set_mtime(const fs::path& file, const timespec& time) {
  const timespec times[2] = {time, time};
  REQUIRE(::utimensat(AT_FDCWD, file.c_str(), times, 0) == 0);
}

timespec mtime(const fs::path& file) {
  struct stat status {};
  REQUIRE(::stat(file.c_str(), &status) == 0);
  return status.st_mtim;
}

struct Place {
  TestFolder folder;
  fs::path cache = folder / "cache", file = folder / "rain.tif";
  Place() { write_text(file, "abc"); }
};

}  // namespace

TEST_CASE("a digest is remembered, by this cache and the next") {
  Place place;
  FileCache first(place.cache, kLimit, later_ns);
  CHECK(first.digest(place.file) == sha256_hex("abc"));
  CHECK(fs::status(place.cache).permissions() == static_cast<fs::perms>(0700));
  FileCache second(place.cache, kLimit);
  for (FileCache* cache : {&first, &second}) {
    const Opened opened(place.file);
    CHECK(cache->digest(place.file) == sha256_hex("abc"));
    CHECK_FALSE(opened.any());
  }
  CHECK(names_in(place.cache) == std::vector<std::string>{"digests"});
  CHECK(first.words().empty());
  CHECK(second.words().empty());
}

TEST_CASE("changed contents of the same size are seen") {
  Place place;
  FileCache cache(place.cache, kLimit, later_ns);
  CHECK(cache.digest(place.file) == sha256_hex("abc"));
  const timespec before = mtime(place.file);
  SUBCASE("by a changed time of modification") {
    write_text(place.file, "abd");
    set_mtime(place.file, {before.tv_sec, before.tv_nsec == 0 ? 1 : before.tv_nsec - 1});
  }
  SUBCASE("by the time of the change of status, where the time of modification was put back") {
    std::this_thread::sleep_for(std::chrono::milliseconds(20));  // the kernel's clock of files ticks in 4 to 10 ms
    write_text(place.file, "abd");
    set_mtime(place.file, before);
    REQUIRE(mtime(place.file).tv_nsec == before.tv_nsec);
  }
  SUBCASE("by the inode, where another file took the name") {
    write_text(place.folder / "other", "abd");
    set_mtime(place.folder / "other", before);
    fs::rename(place.folder / "other", place.file);
  }
  CHECK(cache.digest(place.file) == sha256_hex("abd"));
  const Opened opened(place.file);
  CHECK(cache.digest(place.file) == sha256_hex("abd"));
  CHECK_FALSE(opened.any());
}

TEST_CASE("a file that changed less than two seconds before it was digested is not remembered") {
  Place place;
  FileCache cache(place.cache, kLimit);
  CHECK(cache.digest(place.file) == sha256_hex("abc"));
  {
    const Opened opened(place.file);
    CHECK(cache.digest(place.file) == sha256_hex("abc"));
    CHECK(opened.any());
  }
  CHECK_FALSE(fs::exists(place.cache / "digests"));
  set_mtime(place.file, {1'000'000, 0});  // an old time of modification does not help: the status changed now
  CHECK(cache.digest(place.file) == sha256_hex("abc"));
  CHECK_FALSE(fs::exists(place.cache / "digests"));
  std::this_thread::sleep_for(std::chrono::milliseconds(2100));
  CHECK(cache.digest(place.file) == sha256_hex("abc"));
  const Opened opened(place.file);
  CHECK(cache.digest(place.file) == sha256_hex("abc"));
  CHECK_FALSE(opened.any());
}

TEST_CASE("digests of folders") {
  Place place;
  const auto store = place.folder / "store.zarr";
  fs::create_directories(store / "b");
  write_text(store / "b" / "0", "abc");
  write_text(store / "a", "");
  FileCache cache(place.cache, kLimit, later_ns);
  const auto expected = sha256_of_file(store);
  CHECK(cache.digest(store) == expected);
  {
    const Opened opened(store / "b" / "0");
    CHECK(cache.digest(store) == expected);
    CHECK_FALSE(opened.any());
  }
  const timespec before = mtime(store / "b" / "0");
  SUBCASE("a changed file of the same size") {
    write_text(store / "b" / "0", "abd");
    set_mtime(store / "b" / "0", {before.tv_sec + 1, before.tv_nsec});
  }
  SUBCASE("a new file") { write_text(store / "b" / "1", "x"); }
  SUBCASE("a file gone") { fs::remove(store / "a"); }
  SUBCASE("a file of another name") { fs::rename(store / "a", store / "c"); }
  CHECK(cache.digest(store) != expected);
  CHECK(cache.digest(store) == sha256_of_file(store));
}

TEST_CASE("a remembered digest that is damaged is not believed") {
  Place place;
  CHECK(FileCache(place.cache, kLimit, later_ns).digest(place.file) == sha256_hex("abc"));
  const std::string good = text_of(place.cache / "digests");
  REQUIRE(good.size() > 160);
  for (std::size_t offset = 0; offset < good.size(); offset += 3) {
    CAPTURE(offset);
    flip_bit(place.cache / "digests", offset);
    FileCache cache(place.cache, kLimit, later_ns);
    const Opened opened(place.file);
    CHECK(cache.digest(place.file) == sha256_hex("abc"));
    CHECK(opened.any());
    CHECK(text_of(place.cache / "digests") == good);  // and it is made anew
  }
  for (const std::size_t left : {std::size_t{0}, std::size_t{10}, std::size_t{35}, std::size_t{100}, good.size() - 1}) {
    CAPTURE(left);
    fs::resize_file(place.cache / "digests", left);
    FileCache cache(place.cache, kLimit, later_ns);
    CHECK(cache.digest(place.file) == sha256_hex("abc"));
    CHECK(text_of(place.cache / "digests") == good);
  }
}

TEST_CASE("what cannot be read is an error that names it") {
  Place place;
  FileCache cache(place.cache, kLimit);
  CHECK_THROWS_WITH_AS(cache.digest(place.folder / "missing"), doctest::Contains("missing"), InputError);
}

TEST_CASE("a link or a folder named as the memory is left alone") {
  Place place;
  fs::create_directory(place.cache);
  write_text(place.folder / "theirs", "theirs");
  SUBCASE("a link") { fs::create_symlink(place.folder / "theirs", place.cache / "digests"); }
  SUBCASE("a folder") { fs::create_directory(place.cache / "digests"); }
  FileCache cache(place.cache, kLimit, later_ns);
  CHECK(cache.digest(place.file) == sha256_hex("abc"));
  CHECK(says(cache.words(), "digests are not kept: this is no file"));
  CHECK(text_of(place.folder / "theirs") == "theirs");
  CHECK(names_in(place.cache) == std::vector<std::string>{"digests"});
}

TEST_CASE("two processes that remember at once leave a memory that is whole") {
  Place place;
  for (int i = 0; i < 40; ++i) write_text(place.folder / ("f" + std::to_string(i)), std::to_string(i));
  const auto work = [&](int from) {
    FileCache cache(place.cache, kLimit, later_ns);
    for (int i = from; i < from + 20; ++i)
      if (cache.digest(place.folder / ("f" + std::to_string(i))) != sha256_hex(std::to_string(i))) return 1;
    return cache.words().empty() ? 0 : 2;
  };
  const pid_t other = ::fork();
  if (other == 0) ::_exit(work(0));
  CHECK(work(20) == 0);
  int status = 0;
  ::waitpid(other, &status, 0);
  CHECK(status == 0);
  CHECK(names_in(place.cache) == std::vector<std::string>{"digests"});
  // Whoever wrote last remembers at least its own last file, and nobody a wrong one.
  FileCache cache(place.cache, kLimit);
  int remembered = 0;
  for (int i = 0; i < 40; ++i) {
    const Opened opened(place.folder / ("f" + std::to_string(i)));
    CHECK(cache.digest(place.folder / ("f" + std::to_string(i))) == sha256_hex(std::to_string(i)));
    remembered += opened.any() ? 0 : 1;
  }
  CHECK(remembered >= 20);
}

TEST_CASE("threads that digest at once") {
  Place place;
  for (int i = 0; i < 20; ++i) write_text(place.folder / ("f" + std::to_string(i)), std::to_string(i));
  FileCache cache(place.cache, kLimit, later_ns);
  std::atomic<int> wrong{0};
  const auto work = [&] {
    for (int i = 0; i < 20; ++i)
      if (cache.digest(place.folder / ("f" + std::to_string(i))) != sha256_hex(std::to_string(i))) ++wrong;
  };
  { std::jthread one(work), two(work); }
  CHECK(wrong == 0);
  CHECK(cache.words().empty());
  const Opened opened(place.folder / "f7");
  work();
  CHECK_FALSE(opened.any());
}

TEST_CASE("names with spaces and with line ends") {
  Place place;
  FileCache cache(place.cache, kLimit, later_ns);
  for (const char* name : {"two words.tif", "two\nlines.tif", "gerste-b\xc3\xb6rde.tif"}) {
    CAPTURE(name);
    write_text(place.folder / name, name);
    CHECK(cache.digest(place.folder / name) == sha256_hex(name));
    CHECK(cache.digest(place.folder / name) == sha256_hex(name));
  }
  CHECK(FileCache(place.cache, kLimit).digest(place.folder / "two words.tif") == sha256_hex("two words.tif"));
}
