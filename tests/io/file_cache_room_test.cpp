// The cache under its limit, on disks that take nothing, and among other processes.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sched.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>

#include <ctime>

#include "io/file_cache.h"
#include "io/file_cache_layout.h"
#include "io/sha256.h"
#include "tests/io/cache_folder.h"

using namespace rickyard;
namespace fs = std::filesystem;

namespace {

constexpr std::uint64_t kLimit = 100'000'000;
constexpr std::size_t kBytes = 80'000, kPart = 10'000, kParts = 8;
const CacheKey kKey{"weather", "weather 1\nrain.tif 0123\n"};

CacheKey numbered(int i) { return {"crop", "crop 1\nnumber " + std::to_string(i) + "\n"}; }
std::string name_of(const CacheKey& key) { return key.kind + "-" + sha256_hex(key.made_from) + ".cache"; }
std::string draft_of(const CacheKey& key) { return ".partial-" + key.kind + "-" + sha256_hex(key.made_from); }

// Seconds since 1970 as time of last use.
void used_at(const fs::path& file, std::time_t seconds) {
  const timespec times[2] = {{seconds, 0}, {seconds, 0}};
  REQUIRE(::utimensat(AT_FDCWD, file.c_str(), times, AT_SYMLINK_NOFOLLOW) == 0);
}

// Where root: another user, who may not write what root may.
bool become_ordinary() { return ::geteuid() != 0 || ::setuid(65534) == 0; }

// Mounts a small disk that only this process sees; as an ordinary user in a user namespace. False where neither is allowed.
bool mount_small_disk(const fs::path& folder, const char* options) {
  const std::string user = "0 " + std::to_string(::geteuid()) + " 1", group = "0 " + std::to_string(::getegid()) + " 1";
  if (::unshare(CLONE_NEWNS) != 0) {
    if (::unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return false;
    write_text("/proc/self/setgroups", "deny");
    write_text("/proc/self/uid_map", user);
    write_text("/proc/self/gid_map", group);
  }
  ::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr);
  return ::mount("tmpfs", folder.c_str(), "tmpfs", 0, options) == 0;
}

// A child that waits for a word and says one.
class Signal {
 public:
  Signal() { REQUIRE(::pipe2(ends_, O_CLOEXEC) == 0); }
  ~Signal() {
    ::close(ends_[0]);
    ::close(ends_[1]);
  }
  void give() const { (void)!::write(ends_[1], "x", 1); }
  void await() const {
    char c = 0;
    (void)!::read(ends_[0], &c, 1);
  }

 private:
  int ends_[2] = {-1, -1};
};

template <class Work>
pid_t start(Work work) {
  const pid_t child = ::fork();
  if (child == 0) ::_exit(work());
  return child;
}

int end_of(pid_t child) {
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFSIGNALED(status) ? -WTERMSIG(status) : WEXITSTATUS(status);
}

// A process that is killed when these parts of kKey are done.
void be_killed_after(const fs::path& folder, std::size_t parts) {
  const int ended = in_child([&] {
    FileCache cache(folder, kLimit);
    const auto draft = cache.create(kKey, kBytes, kPart);
    if (!draft) return 1;
    for (std::size_t part = 0; part < parts; ++part) {
      fill(draft->bytes(), part * kPart, kPart, 1);
      draft->mark_done(part);
    }
    fill(draft->bytes(), parts * kPart, kPart / 2, 1);
    ::kill(::getpid(), SIGKILL);
    return 2;
  });
  REQUIRE(ended == -SIGKILL);
}

}  // namespace

TEST_CASE("the least recently used entries make room, and foreign files stay") {
  TestFolder folder;
  const TestFolder outside;
  const std::uint64_t one = EntryLayout(numbered(0), kBytes, kPart).file_bytes;
  FileCache cache(folder.path(), 3 * one);
  for (int i = 0; i < 3; ++i) {
    REQUIRE(make_entry(cache, numbered(i), kBytes, kPart, static_cast<unsigned>(i)));
    used_at(folder / name_of(numbered(i)), 1'000'000 + i);
  }
  // Old and large, and none of the cache's own, though some look so.
  const std::string digits(64, 'a');
  const std::string large(kBytes * 2, 'x');
  const std::vector<std::string> foreign = {"notes.txt", "weather-rain.cache", "weather-" + digits + ".cache", ".partial-weather-" + digits,
                                            "weather-" + std::string(64, 'A') + ".cache"};
  for (const auto& name : foreign) write_text(folder / name, name + large);
  fs::create_directory(folder / ("crop-" + digits + ".cache"));
  write_text(outside / "theirs", large);
  fs::create_symlink(outside / "theirs", folder / ("soil-" + digits + ".cache"));
  for (const auto& name : foreign) used_at(folder / name, 1000);
  used_at(folder / ("soil-" + digits + ".cache"), 1000);
  const auto others = [&] {
    auto names = names_in(folder.path());
    std::erase_if(names, [](const std::string& name) { return name.starts_with("crop-") && !name.starts_with("crop-aaa"); });
    return names;
  };
  const auto before = others();
  REQUIRE(before.size() == foreign.size() + 2);

  const auto oldest = cache.find(numbered(0));  // used now, so the second is the oldest
  REQUIRE(oldest);
  const auto second = cache.find(numbered(1));
  REQUIRE(second);
  used_at(folder / name_of(numbered(1)), 1'000'001);
  CHECK(cache.words().empty());
  // What the foreign files take does not count.
  FileCache larger(folder.path(), 3 * one);
  REQUIRE(make_entry(larger, numbered(3), kBytes, kPart, 3));
  CHECK(says(larger.words(), name_of(numbered(1)) + ": made room under the limit of 1 MB: removed"));
  CHECK(is_kept(cache, numbered(0), 0));
  CHECK(cache.find(numbered(1)) == nullptr);
  CHECK(is_kept(cache, numbered(2), 2));
  CHECK(is_kept(cache, numbered(3), 3));
  second->require(0, kBytes);  // gone from the folder, still there for whoever had it
  CHECK(holds(second->bytes(), 1));
  CHECK(others() == before);
  for (const auto& name : foreign) CHECK(text_of(folder / name) == name + large);
  CHECK(text_of(outside / "theirs") == large);
}

TEST_CASE("an entry larger than the limit is not taken, and removes nothing") {
  TestFolder folder;
  const std::uint64_t one = EntryLayout(numbered(0), kBytes, kPart).file_bytes;
  FileCache cache(folder.path(), 2 * one);
  REQUIRE(make_entry(cache, numbered(0), kBytes, kPart, 0));
  CHECK(cache.create(numbered(1), 2 * kBytes, kPart) != nullptr);  // the first one goes
  CHECK_FALSE(is_kept(cache, numbered(0), 0));
  REQUIRE(make_entry(cache, numbered(0), kBytes, kPart, 0));
  cache.words();
  CHECK(cache.create(numbered(1), 3 * kBytes, kPart) == nullptr);
  CHECK(says(cache.words(), "no room in " + folder.path().string() + " for 1 MB: the limit is 1 MB"));
  CHECK(is_kept(cache, numbered(0), 0));
  // Drafts count: with one being made there is room for one more, not two.
  const auto making = cache.create(numbered(2), kBytes, kPart);
  REQUIRE(making);
  CHECK(cache.create(numbered(3), 2 * kBytes, kPart) == nullptr);
  CHECK(cache.create(numbered(3), kBytes, kPart) != nullptr);
  CHECK_FALSE(is_kept(cache, numbered(0), 0));
  FileCache none(folder.path(), 0);
  CHECK(none.create(numbered(4), 1, 1) == nullptr);
}

TEST_CASE("a read-only folder: what is there is found, nothing is made, damage is left out") {
  TestFolder folder;
  const auto place = folder / "cache";
  {
    FileCache cache(place, kLimit);
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1));
    REQUIRE(make_entry(cache, numbered(0), kBytes, kPart, 2));
    REQUIRE(make_entry(cache, numbered(1), kBytes, kPart, 3));
  }
  flip_bit(place / name_of(numbered(0)), fs::file_size(place / name_of(numbered(0))) - 1);
  flip_bit(place / name_of(numbered(1)), 12);
  for (const auto& name : names_in(place)) fs::permissions(place / name, static_cast<fs::perms>(0444));
  fs::permissions(place, static_cast<fs::perms>(0555));
  const int ended = in_child([&] {
    if (!become_ordinary()) return 100;
    FileCache cache(place, kLimit);
    if (!is_kept(cache, kKey, 1)) return 1;
    if (cache.create(numbered(2), kBytes, kPart)) return 2;
    auto words = cache.words();
    if (!says(words, name_of(numbered(2)) + ": not kept: permission denied")) return 3;
    if (!says(words, name_of(numbered(1)) + ": has another layout")) return 4;
    const auto damaged = cache.find(numbered(0));
    if (!damaged) return 5;
    try {
      damaged->require(0, kBytes);
      return 6;
    } catch (const DamagedEntry&) {
    }
    if (!says(cache.words(), "left out, for it cannot be removed: permission denied")) return 7;
    if (cache.find(numbered(0))) return 8;  // or the caller would go round for ever
    if (cache.digest(place / name_of(kKey)).size() != 64) return 9;
    return 0;
  });
  fs::permissions(place, static_cast<fs::perms>(0755));
  if (ended == 100)
    MESSAGE("not tested: root may not become another user here");
  else
    CHECK(ended == 0);
  CHECK(names_in(place).size() == 3);
}

TEST_CASE("a home that may not be written: nothing is kept") {
  TestFolder folder;
  fs::permissions(folder.path(), static_cast<fs::perms>(0555));
  const int ended = in_child([&] {
    if (!become_ordinary()) return 100;
    FileCache cache(folder / ".cache" / "rickyard", kLimit);
    if (cache.find(kKey) || cache.create(kKey, kBytes, kPart)) return 1;
    return says(cache.words(), ".cache/rickyard: nothing is kept here: permission denied") ? 0 : 2;
  });
  fs::permissions(folder.path(), static_cast<fs::perms>(0755));
  if (ended == 100)
    MESSAGE("not tested: root may not become another user here");
  else
    CHECK(ended == 0);
}

TEST_CASE("a full disk: no entry, words, and no signal") {
  TestFolder folder;
  const int ended = in_child([&] {
    if (!mount_small_disk(folder.path(), "size=1m")) return 100;
    FileCache cache(folder.path(), kLimit);
    if (cache.create(kKey, 2'000'000, kPart)) return 1;
    if (!says(cache.words(), name_of(kKey) + ": not kept: no space left on device")) return 2;
    if (!names_in(folder.path()).empty()) return 3;  // what was begun gave its space back
    if (!make_entry(cache, numbered(0), 600'000, kPart, 4)) return 4;
    // The draft has its space: when others fill the disk, it is still finished.
    const auto draft = cache.create(numbered(1), 300'000, kPart);
    if (!draft) return 5;
    std::ofstream filler(folder / "filler", std::ios::binary);
    for (int i = 0; i < 1000; ++i) filler << std::string(1000, 'f');
    filler.close();
    if (filler) return 6;
    for (std::size_t part = 0; part < 30; ++part) {
      fill(draft->bytes(), part * kPart, kPart, 5);
      draft->mark_done(part);
    }
    if (!draft->finish() || !is_kept(cache, numbered(1), 5) || !is_kept(cache, numbered(0), 4)) return 7;
    if (cache.create(kKey, 50'000, kPart)) return 8;
    return names_in(folder.path()) == std::vector<std::string>{name_of(numbered(0)), name_of(numbered(1)), "filler"} ? 0 : 9;
  });
  if (ended == 100)
    MESSAGE("not tested: a small disk may not be mounted here");
  else
    CHECK(ended == 0);
}

TEST_CASE("files larger than the process may write: no entry, words, and no signal") {
  TestFolder folder;
  const int ended = in_child([&] {
    const rlimit limit{200'000, 200'000};
    if (::setrlimit(RLIMIT_FSIZE, &limit) != 0) return 1;
    FileCache cache(folder.path(), kLimit);
    if (cache.create(kKey, 300'000, kPart)) return 2;
    if (!says(cache.words(), name_of(kKey) + ": not kept: file too large")) return 3;
    if (!names_in(folder.path()).empty()) return 4;
    if (!make_entry(cache, kKey, kBytes, kPart, 1) || !is_kept(cache, kKey, 1)) return 5;
    return 0;
  });
  CHECK(ended == 0);
}

TEST_CASE("two processes that make one entry at once both end with it") {
  for (int round = 0; round < 10; ++round) {
    TestFolder folder;
    Signal go;
    const auto work = [&] {
      FileCache cache(folder.path(), kLimit);
      go.await();
      const auto entry = make_entry(cache, kKey, 1'000'000, kPart, 1);
      if (!entry) return 1;
      entry->require(0, 1'000'000);
      if (!holds(entry->bytes(), 1)) return 2;
      if (!is_kept(cache, kKey, 1)) return 3;
      return cache.words().empty() ? 0 : 4;
    };
    const pid_t one = start(work), two = start(work);
    go.give();
    go.give();
    CHECK(end_of(one) == 0);
    CHECK(end_of(two) == 0);
    FileCache cache(folder.path(), kLimit);
    CHECK(is_kept(cache, kKey, 1));
    CHECK(names_in(folder.path()) == std::vector<std::string>{name_of(kKey)});
  }
}

TEST_CASE("who comes second makes a draft of its own, whichever ends first") {
  for (const bool second_ends_first : {true, false}) {
    CAPTURE(second_ends_first);
    TestFolder folder;
    FileCache cache(folder.path(), kLimit), other(folder.path(), kLimit);
    const auto draft = cache.create(kKey, kBytes, kPart);
    REQUIRE(draft);
    fill(draft->bytes(), 0, kBytes, 1);
    const auto theirs = other.create(kKey, kBytes, kPart);
    REQUIRE(theirs);
    CHECK(names_in(folder.path()).size() == 2);
    fill(theirs->bytes(), 0, kBytes, 1);
    for (std::size_t part = 0; part < kParts; ++part) {
      draft->mark_done(part);
      CHECK_FALSE(theirs->done(part));
      theirs->mark_done(part);
    }
    const auto first = second_ends_first ? theirs->finish() : draft->finish();
    CHECK(is_kept(cache, kKey, 1));
    const auto last = second_ends_first ? draft->finish() : theirs->finish();
    CHECK(is_kept(other, kKey, 1));
    first->require(0, kBytes);
    CHECK(holds(first->bytes(), 1));
    CHECK(holds(last->bytes(), 1));
    CHECK(names_in(folder.path()) == std::vector<std::string>{name_of(kKey)});
  }
}

TEST_CASE("a process killed halfway: the next one makes only what is missing") {
  TestFolder folder;
  be_killed_after(folder.path(), 4);
  CHECK(names_in(folder.path()) == std::vector<std::string>{draft_of(kKey)});
  FileCache cache(folder.path(), kLimit);
  CHECK(cache.find(kKey) == nullptr);
  std::size_t made = 0;
  SUBCASE("as it was left") {
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1, &made));
    CHECK(made == 4);
  }
  SUBCASE("with one flipped bit in a part that was done") {
    flip_bit(folder / draft_of(kKey), EntryLayout(kKey, kBytes, kPart).part_offset(2) + 99);
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1, &made));
    CHECK(made == 5);
  }
  SUBCASE("with one flipped bit in its table") {
    flip_bit(folder / draft_of(kKey), EntryLayout(kKey, kBytes, kPart).table_offset + 8);
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1, &made));
    CHECK(made == 5);
  }
  SUBCASE("with one flipped bit in its head") {
    flip_bit(folder / draft_of(kKey), 50);
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1, &made));
    CHECK(made == kParts);
  }
  SUBCASE("cut short") {
    fs::resize_file(folder / draft_of(kKey), 30'000);
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1, &made));
    CHECK(made == kParts);
  }
  SUBCASE("in parts of another size") {
    REQUIRE(make_entry(cache, kKey, kBytes, kPart / 2, 1, &made));
    CHECK(made == 2 * kParts);
  }
  SUBCASE("killed again, before all was finished") {
    be_killed_after(folder.path(), kParts);
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1, &made));
    CHECK(made == 0);
  }
  SUBCASE("killed again, and then left unfinished") {
    be_killed_after(folder.path(), 5);
    {
      const auto draft = cache.create(kKey, kBytes, kPart);
      REQUIRE(draft);
      CHECK(draft->done(4));
      CHECK_FALSE(draft->done(5));
    }
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1, &made));
    CHECK(made == 3);
  }
  CHECK(is_kept(cache, kKey, 1));
  CHECK(names_in(folder.path()) == std::vector<std::string>{name_of(kKey)});
  CHECK(cache.words().empty());
}

TEST_CASE("a draft left unfinished keeps what is done; one with nothing done leaves nothing") {
  TestFolder folder;
  FileCache cache(folder.path(), kLimit);
  CHECK(cache.create(kKey, kBytes, kPart) != nullptr);
  CHECK(names_in(folder.path()).empty());
  {
    const auto draft = cache.create(kKey, kBytes, kPart);
    fill(draft->bytes(), kPart, kPart, 1);
    draft->mark_done(1);
  }
  std::size_t made = 0;
  REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1, &made));
  CHECK(made == kParts - 1);
  CHECK(is_kept(cache, kKey, 1));
}

TEST_CASE("a second draft of a killed process is removed, one in use is not") {
  TestFolder folder;
  FileCache cache(folder.path(), kLimit);
  const auto draft = cache.create(kKey, kBytes, kPart);
  REQUIRE(draft);
  cache.create(kKey, kBytes, kPart)->mark_done(0);  // given up, and nobody could go on with it
  REQUIRE(names_in(folder.path()) == std::vector<std::string>{draft_of(kKey)});
  const int ended = in_child([&] {
    FileCache theirs(folder.path(), kLimit);
    const auto second = theirs.create(kKey, kBytes, kPart);
    if (!second) return 1;
    second->mark_done(0);
    ::kill(::getpid(), SIGKILL);
    return 2;
  });
  REQUIRE(ended == -SIGKILL);
  REQUIRE(names_in(folder.path()).size() == 2);
  // Likewise what was left of writing the digests, unless that may still be going on.
  const std::string old = ".partial-digests-0123abcd", young = ".partial-digests-4567abcd";
  for (const auto& name : {old, young}) write_text(folder / name, "half a");
  used_at(folder / old, 1'000'000);
  FileCache next(folder.path(), kLimit);
  REQUIRE(make_entry(next, numbered(0), kBytes, kPart, 2));
  CHECK(names_in(folder.path()) == std::vector<std::string>{young, draft_of(kKey), name_of(numbered(0))});
  fill(draft->bytes(), 0, kBytes, 1);
  for (std::size_t part = 0; part < kParts; ++part) draft->mark_done(part);
  REQUIRE(draft->finish());
  CHECK(is_kept(next, kKey, 1));
}

TEST_CASE("an unfinished draft makes room as an old entry does, and one in use does not") {
  TestFolder folder;
  const std::uint64_t one = EntryLayout(kKey, kBytes, kPart).file_bytes;
  be_killed_after(folder.path(), 4);
  FileCache cache(folder.path(), one + 100);
  REQUIRE(make_entry(cache, numbered(0), kBytes, kPart, 2));
  CHECK(names_in(folder.path()) == std::vector<std::string>{name_of(numbered(0))});
  const auto draft = cache.create(kKey, kBytes, kPart);
  REQUIRE(draft);
  CHECK(cache.create(numbered(1), kBytes, kPart) == nullptr);
  CHECK(names_in(folder.path()) == std::vector<std::string>{draft_of(kKey)});
}

TEST_CASE("a folder that goes away meanwhile: the entry serves this process") {
  TestFolder folder;
  const auto place = folder / "cache";
  FileCache cache(place, kLimit);
  const auto draft = cache.create(kKey, kBytes, kPart);
  REQUIRE(draft);
  fs::remove_all(place);
  fill(draft->bytes(), 0, kBytes, 1);
  for (std::size_t part = 0; part < kParts; ++part) draft->mark_done(part);
  const auto entry = draft->finish();
  REQUIRE(entry);
  entry->require(0, kBytes);
  CHECK(holds(entry->bytes(), 1));
  CHECK(says(cache.words(), name_of(kKey) + ": not kept: no such file or directory"));
  CHECK(cache.find(kKey) == nullptr);
}
