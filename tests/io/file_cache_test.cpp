// The cache of one process: what was written comes back, and nothing else does.
#include "io/file_cache.h"

#include <doctest/doctest.h>
#include <signal.h>

#include <atomic>
#include <cstdlib>
#include <optional>
#include <thread>

#include "io/file_cache_layout.h"
#include "io/sha256.h"
#include "tests/io/cache_folder.h"

using namespace rickyard;
namespace fs = std::filesystem;

namespace {

constexpr std::uint64_t kLimit = 100'000'000;
constexpr std::size_t kBytes = 100'001, kPart = 10'000;  // 11 parts, the last of one byte
const CacheKey kKey{"weather", "weather 1\nrain.tif 0123\ngrid 10 x 20\n"};

fs::path file_of(const fs::path& folder, const CacheKey& key) { return folder / (key.kind + "-" + sha256_hex(key.made_from) + ".cache"); }

// A cache with one entry of seed 1, closed again.
struct Kept {
  Kept() {
    FileCache cache(folder.path(), kLimit);
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1));
  }
  fs::path file() const { return file_of(folder.path(), kKey); }

  TestFolder folder;
  EntryLayout layout{kKey, kBytes, kPart};
};

// The entry is not found, the file is gone, the words say why, and a new entry takes its place.
void expect_dropped(const Kept& kept, std::string_view why) {
  FileCache cache(kept.folder.path(), kLimit);
  CHECK(cache.find(kKey) == nullptr);
  const auto words = cache.words();
  CAPTURE(words.empty() ? std::string("no words") : words[0]);
  CHECK(says(words, kept.file().string()));
  CHECK(says(words, why));
  CHECK(says(words, "removed"));
  CHECK_FALSE(fs::exists(kept.file()));
  CHECK(cache.words().empty());
  REQUIRE(make_entry(cache, kKey, kBytes, kPart, 2));
  CHECK(is_kept(cache, kKey, 2));
}

std::string damage_of(const CacheEntry& entry, std::size_t offset, std::size_t size) {
  try {
    entry.require(offset, size);
  } catch (const DamagedEntry& error) {
    return error.what();
  }
  return "no damage";
}

}  // namespace

TEST_CASE("what was written comes back, in this process and in the next") {
  TestFolder folder;
  {
    FileCache cache(folder.path(), kLimit);
    CHECK(cache.find(kKey) == nullptr);
    const auto draft = cache.create(kKey, kBytes, kPart);
    REQUIRE(draft);
    CHECK(draft->bytes().size() == kBytes);
    CHECK(cache.find(kKey) == nullptr);
    for (std::size_t part = 11; part-- > 0;) {
      CHECK_FALSE(draft->done(part));
      if (part == 5) CHECK_THROWS_AS(draft->finish(), std::logic_error);
      fill(draft->bytes(), part * kPart, kPart, 1);
      draft->mark_done(part);
      draft->release(part);
      CHECK(draft->done(part));
    }
    CHECK_THROWS_AS(draft->mark_done(11), std::logic_error);
    const auto entry = draft->finish();
    REQUIRE(entry);
    CHECK_THROWS_AS(draft->finish(), std::logic_error);
    entry->require(0, kBytes);
    CHECK(holds(entry->bytes(), 1));
    CHECK(cache.words().empty());
  }
  CHECK(names_in(folder.path()) == std::vector<std::string>{file_of({}, kKey).string()});
  FileCache cache(folder.path(), kLimit);
  const auto entry = cache.find(kKey);
  REQUIRE(entry);
  REQUIRE(entry->bytes().size() == kBytes);
  CHECK(reinterpret_cast<std::uintptr_t>(entry->bytes().data()) % 64 == 0);
  entry->require(kBytes, 0);
  entry->require(kBytes - 1, 1);
  entry->require(0, kBytes);
  entry->release(0, kBytes);
  CHECK(holds(entry->bytes(), 1));
  CHECK_THROWS_AS(entry->require(0, kBytes + 1), std::logic_error);
  CHECK_THROWS_AS(entry->require(kBytes + 1, 0), std::logic_error);
  CHECK(cache.words().empty());
}

TEST_CASE("other texts and other kinds are other entries") {
  TestFolder folder;
  FileCache cache(folder.path(), kLimit);
  const CacheKey crop{"crop", kKey.made_from}, later{"weather", kKey.made_from + " "};
  REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1));
  REQUIRE(make_entry(cache, crop, 1, 1, 2));
  REQUIRE(make_entry(cache, later, 64, 1 << 20, 3));
  CHECK(is_kept(cache, kKey, 1));
  CHECK(is_kept(cache, crop, 2));
  CHECK(is_kept(cache, later, 3));
  CHECK(cache.find({"soil", kKey.made_from}) == nullptr);
  for (const char* kind : {"", "Weather", "../weather", "weather/1", "weather.1"})
    CHECK_THROWS_AS(cache.find({kind, "x"}), std::logic_error);
  CHECK_THROWS_AS(cache.create(kKey, 0, 1), std::length_error);
  CHECK_THROWS_AS(cache.create(kKey, 1, 0), std::length_error);
}

TEST_CASE("an entry made again replaces the one there, and those who hold it keep it") {
  Kept kept;
  FileCache cache(kept.folder.path(), kLimit);
  const auto before = cache.find(kKey);
  REQUIRE(before);
  REQUIRE(make_entry(cache, kKey, 5000, 1000, 2));
  CHECK(is_kept(cache, kKey, 2));
  before->require(0, kBytes);
  CHECK(holds(before->bytes(), 1));
}

TEST_CASE("an entry that is found has the checksum that XXH3 gives") {
  Kept kept;
  const std::string file = text_of(kept.file());
  const auto bytes = std::as_bytes(std::span(file));
  for (std::size_t part = 0; part < kept.layout.parts; ++part)
    CHECK(kept.layout.part_sum(bytes, part) == kept.layout.kept_sum(bytes, part));
  // XXH3 of nothing with 64 bits and seed 0, from the test vectors of the algorithm's specification.
  CHECK(cache_checksum({}, 0) == 0x2D06800538D394C2U);
}

TEST_CASE("threads that fill one draft and require one entry") {
  TestFolder folder;
  FileCache cache(folder.path(), kLimit);
  constexpr std::size_t bytes = 3'000'000, part_bytes = 4097, parts = (bytes + part_bytes - 1) / part_bytes;
  const auto draft = cache.create(kKey, bytes, part_bytes);
  REQUIRE(draft);
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t part = next++; part < parts; part = next++) {
      if (draft->done(part)) continue;
      fill(draft->bytes(), part * part_bytes, part_bytes, 7);
      draft->mark_done(part);
      draft->release(part);
    }
  };
  { std::jthread one(work), two(work); }
  REQUIRE(draft->finish());
  for (const bool damaged : {false, true}) {
    CAPTURE(damaged);
    const auto file = file_of(folder.path(), kKey);
    if (damaged) flip_bit(file, fs::file_size(file) - bytes + 300 * part_bytes + 5);
    const auto entry = cache.find(kKey);
    REQUIRE(entry);
    std::atomic<int> good{0}, bad{0};
    const auto read = [&] {
      for (std::size_t part = 0; part < parts; ++part) {
        try {
          entry->require(part * part_bytes, std::min(part_bytes, bytes - part * part_bytes));
          ++good;
        } catch (const DamagedEntry&) {
          ++bad;
        }
      }
    };
    { std::jthread one(read), two(read); }
    CHECK(bad == (damaged ? 2 : 0));
    CHECK(good + bad == static_cast<int>(2 * parts));
    if (!damaged) CHECK(holds(entry->bytes(), 7));
    CHECK(fs::exists(file) == !damaged);
  }
}

TEST_CASE("a file that is cut short") {
  for (const std::size_t left :
       {std::size_t{0}, std::size_t{1}, std::size_t{15}, std::size_t{40}, std::size_t{100}, std::size_t{4096}, std::size_t{50'000}}) {
    CAPTURE(left);
    Kept kept;
    fs::resize_file(kept.file(), left);
    expect_dropped(kept, "is cut short");
  }
  Kept kept;
  fs::resize_file(kept.file(), kept.layout.file_bytes - 1);
  expect_dropped(kept, "is cut short");
}

TEST_CASE("a file that is longer than it says") {
  Kept kept;
  fs::resize_file(kept.file(), kept.layout.file_bytes + 1);
  expect_dropped(kept, "is longer than its head says");
}

TEST_CASE("a file that is cut short while it is mapped") {
  Kept kept;
  FileCache cache(kept.folder.path(), kLimit);
  const auto entry = cache.find(kKey);
  REQUIRE(entry);
  entry->require(0, kPart);
  fs::resize_file(kept.file(), kept.layout.payload_offset + 2 * kPart);
  const int ended =
      in_child([&] { return damage_of(*entry, kBytes - 1, 1).find("is damaged in part 11 of 11") != std::string::npos ? 0 : 1; });
  if (ended == -SIGBUS) {
    MESSAGE("not tested: Linux before 5.14 cannot tell");
    return;
  }
  CHECK(ended == 0);
}

TEST_CASE("one flipped bit in the payload: that part is damaged, the others are not") {
  Kept kept;
  flip_bit(kept.file(), kept.layout.payload_offset + 3 * kPart + 17);
  FileCache cache(kept.folder.path(), kLimit);
  const auto entry = cache.find(kKey);
  REQUIRE(entry);
  entry->require(0, 3 * kPart);
  entry->require(4 * kPart, kBytes - 4 * kPart);
  CHECK(fs::exists(kept.file()));
  const std::string damage = damage_of(*entry, 0, kBytes);
  CHECK(damage == kept.file().string() + ": is damaged in part 4 of 11: removed");
  CHECK(damage_of(*entry, 3 * kPart, 1) == damage);
  CHECK(cache.words() == std::vector<std::string>{damage});
  CHECK_FALSE(fs::exists(kept.file()));
  CHECK(cache.find(kKey) == nullptr);
  REQUIRE(make_entry(cache, kKey, kBytes, kPart, 2));
  CHECK(is_kept(cache, kKey, 2));
}

TEST_CASE("a damaged entry does not take a good one of the same name with it") {
  Kept kept;
  flip_bit(kept.file(), kept.layout.payload_offset);
  FileCache cache(kept.folder.path(), kLimit);
  const auto entry = cache.find(kKey);
  REQUIRE(entry);
  REQUIRE(make_entry(cache, kKey, kBytes, kPart, 2));
  CHECK_THROWS_AS(entry->require(0, 1), DamagedEntry);
  CHECK(is_kept(cache, kKey, 2));
}

TEST_CASE("two parts that changed places are damaged") {
  Kept kept;
  std::string file = text_of(kept.file());
  const auto part = [&](std::size_t i) { return file.substr(kept.layout.part_offset(i), kPart); };
  const auto sum = [&](std::size_t i) { return file.substr(kept.layout.table_offset + 8 * i, 8); };
  const std::string one = part(1), two = part(2);
  REQUIRE(one != two);
  REQUIRE(sum(1) != sum(2));
  file.replace(kept.layout.part_offset(1), kPart, two).replace(kept.layout.part_offset(2), kPart, one);
  write_text(kept.file(), file);
  FileCache cache(kept.folder.path(), kLimit);
  const auto entry = cache.find(kKey);
  REQUIRE(entry);
  CHECK_THROWS_AS(entry->require(kPart, 1), DamagedEntry);
}

TEST_CASE("one flipped bit in the head, whichever byte") {
  Kept kept;
  const std::string good = text_of(kept.file());
  // The lengths of payload and part, of kind and text; the text; zeros behind it.
  for (std::size_t offset = 16; offset < kept.layout.head.size(); ++offset) {
    CAPTURE(offset);
    write_text(kept.file(), good);
    flip_bit(kept.file(), offset);
    FileCache cache(kept.folder.path(), kLimit);
    CHECK(cache.find(kKey) == nullptr);
    CHECK(says(cache.words(), ": removed"));
    CHECK_FALSE(fs::exists(kept.file()));
  }
}

TEST_CASE("one flipped bit in made_from") {
  Kept kept;
  flip_bit(kept.file(), 48 + kKey.kind.size() + 3);
  expect_dropped(kept, "is damaged in its head, or another entry");
}

TEST_CASE("the file of another entry under this one's name") {
  Kept kept;
  const CacheKey other{"weather", std::string(kKey.made_from.size(), 'x')};
  fs::copy_file(kept.file(), file_of(kept.folder.path(), other));
  FileCache cache(kept.folder.path(), kLimit);
  CHECK(cache.find(other) == nullptr);
  CHECK(says(cache.words(), "another entry: removed"));
  CHECK(is_kept(cache, kKey, 1));
}

TEST_CASE("one flipped bit in the table of checksums, whichever byte") {
  Kept kept;
  const std::string good = text_of(kept.file());
  for (std::size_t offset = kept.layout.table_sum_offset; offset < kept.layout.table_offset + 8 * kept.layout.parts; ++offset) {
    CAPTURE(offset);
    write_text(kept.file(), good);
    flip_bit(kept.file(), offset);
    FileCache cache(kept.folder.path(), kLimit);
    CHECK(cache.find(kKey) == nullptr);
    CHECK(says(cache.words(), "is damaged in its head or its checksums: removed"));
    CHECK_FALSE(fs::exists(kept.file()));
  }
  write_text(kept.file(), good);
  FileCache cache(kept.folder.path(), kLimit);
  CHECK(is_kept(cache, kKey, 1));
}

TEST_CASE("another version of the layout") {
  Kept kept;
  flip_bit(kept.file(), 12);
  expect_dropped(kept, "has layout 17, this program has 1");
}

TEST_CASE("another byte order") {
  Kept kept;
  std::string file = text_of(kept.file());
  std::reverse(file.begin() + 8, file.begin() + 12);
  std::reverse(file.begin() + 12, file.begin() + 16);
  write_text(kept.file(), file);
  expect_dropped(kept, "comes from a machine of another byte order");
}

TEST_CASE("a file that begins as no entry does") {
  Kept kept;
  flip_bit(kept.file(), 0);
  expect_dropped(kept, "does not begin as an entry does");
}

TEST_CASE("entries and drafts of another version go when the first entry is made") {
  Kept kept;
  const CacheKey other{"crop", "something else"};
  const std::string draft = ".partial-weather-" + sha256_hex("a draft");
  fs::copy_file(kept.file(), kept.folder / draft);
  flip_bit(kept.folder / draft, 12);
  flip_bit(kept.file(), 12);
  FileCache cache(kept.folder.path(), kLimit);
  CHECK(cache.find(other) == nullptr);
  CHECK(fs::exists(kept.file()));
  REQUIRE(make_entry(cache, other, 100, 10, 3));
  CHECK(names_in(kept.folder.path()) == std::vector<std::string>{file_of({}, other).string()});
  CHECK(says(cache.words(), "has another layout than this program's: removed"));
}

TEST_CASE("links in the folder are not followed") {
  TestFolder folder;
  const TestFolder outside;
  const std::string secret(200'000, 's');
  write_text(outside / "theirs", secret);
  const auto entry = file_of(folder.path(), kKey);
  const auto draft = folder / (".partial-weather-" + sha256_hex(kKey.made_from));
  FileCache cache(folder.path(), kLimit);
  SUBCASE("a link where the entry would be") {
    fs::create_symlink(outside / "theirs", entry);
    CHECK(cache.find(kKey) == nullptr);
    CHECK(cache.create(kKey, kBytes, kPart) == nullptr);
    CHECK(says(cache.words(), "not kept: something else has this name"));
    CHECK(fs::is_symlink(entry));
  }
  SUBCASE("a link where the draft would be") {
    fs::create_symlink(outside / "theirs", draft);
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1));
    CHECK(is_kept(cache, kKey, 1));
    CHECK(fs::is_symlink(draft));
  }
  SUBCASE("a link to nowhere where the draft would be") {
    fs::create_symlink(outside / "new", draft);
    REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1));
    CHECK_FALSE(fs::exists(outside / "new"));
  }
  SUBCASE("a folder where the entry would be") {
    fs::create_directory(entry);
    CHECK(cache.find(kKey) == nullptr);
    CHECK(cache.create(kKey, kBytes, kPart) == nullptr);
    CHECK(fs::is_directory(entry));
  }
  CHECK(text_of(outside / "theirs") == secret);
}

TEST_CASE("a folder that is missing is made for its owner alone, with those above it") {
  TestFolder folder;
  const auto place = folder / "a" / "b" / "rickyard";
  FileCache cache(place, kLimit);
  CHECK(cache.find(kKey) == nullptr);
  CHECK_FALSE(fs::exists(folder / "a"));
  REQUIRE(make_entry(cache, kKey, kBytes, kPart, 1));
  for (const auto& made : {folder / "a", folder / "a" / "b", place}) CHECK(fs::status(made).permissions() == static_cast<fs::perms>(0700));
  CHECK(fs::status(folder.path()).permissions() == static_cast<fs::perms>(0755));
  CHECK(is_kept(cache, kKey, 1));
}

TEST_CASE("no folder: nothing is kept, and files are digested all the same") {
  TestFolder folder;
  write_text(folder / "file", "abc");
  FileCache cache({}, kLimit);
  CHECK(cache.find(kKey) == nullptr);
  CHECK(cache.create(kKey, kBytes, kPart) == nullptr);
  CHECK(cache.digest(folder / "file") == sha256_hex("abc"));
  FileCache in_the_way(folder / "file" / "cache", kLimit);
  CHECK(in_the_way.find(kKey) == nullptr);
  CHECK(in_the_way.create(kKey, kBytes, kPart) == nullptr);
  CHECK(says(in_the_way.words(), "nothing is kept here: not a directory"));
  FileCache is_a_file(folder / "file", kLimit);
  CHECK(is_a_file.create(kKey, kBytes, kPart) == nullptr);
  CHECK(says(is_a_file.words(), "nothing is kept here: this is no folder"));
  CHECK(text_of(folder / "file") == "abc");
}

TEST_CASE("the default folder follows the XDG Base Directory Specification") {
  const auto folder_for = [](const char* cache_home, const char* home) {
    const auto set = [](const char* name, const char* value) { value ? ::setenv(name, value, 1) : ::unsetenv(name); };
    set("XDG_CACHE_HOME", cache_home);
    set("HOME", home);
    return default_cache_folder().string();
  };
  const auto kept = [](const char* name) {
    const char* const value = std::getenv(name);
    return value ? std::optional<std::string>(value) : std::nullopt;
  };
  const auto cache_home = kept("XDG_CACHE_HOME"), home = kept("HOME");
  CHECK(folder_for("/scratch/cache", "/home/x") == "/scratch/cache/rickyard");
  CHECK(folder_for(nullptr, "/home/x") == "/home/x/.cache/rickyard");
  CHECK(folder_for("", "/home/x") == "/home/x/.cache/rickyard");
  CHECK(folder_for("relative", "/home/x") == "/home/x/.cache/rickyard");
  CHECK(folder_for(nullptr, nullptr).empty());
  CHECK(folder_for("relative", "").empty());
  folder_for(cache_home ? cache_home->c_str() : nullptr, home ? home->c_str() : nullptr);
}
