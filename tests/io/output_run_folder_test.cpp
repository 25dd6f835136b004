#include <doctest/doctest.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "io/manifest.h"
#include "io/run_folder.h"
#include "io/run_folder_files.h"
#include "io/sha256.h"
#include "planner/base/problem.h"
#include "tests/support/in_child.h"

using namespace rickyard;
namespace fs = std::filesystem;

namespace {

constexpr std::time_t kTime = 1806494400;  // 2027-03-31T12:00:00Z, by `date -u -d @1806494400`
const char* const kStamp = "20270331T120000Z";

fs::path fresh_folder(const char* name) {
  const fs::path folder = fs::path(RICKYARD_BINARY_DIR) / "output-tests" / name;
  std::error_code ignored;
  fs::permissions(folder, fs::perms::owner_all, fs::perm_options::add, ignored);
  fs::remove_all(folder);
  fs::create_directories(folder);
  return folder;
}

std::string bytes_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder)) names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

template <class Work>
std::string output_error(Work work) {
  try {
    work();
  } catch (const OutputError& error) {
    return error.what();
  }
  return "no error";
}

}  // namespace

TEST_CASE("a run folder appears complete under its final name") {
  const auto folder = fresh_folder("run");
  const auto parent = folder / "runs" / "2027";
  fs::path final;
  {
    RunFolder run(parent, "base", kTime);
    run.write("plan.json", "{}\n");
    std::ofstream(run.path("plan.xlsx")) << "by a library";
    fs::create_directory(run.path("tiles"));
    std::ofstream(run.path("tiles") / "a") << "a";
    CHECK_FALSE(fs::exists(parent / (std::string("base-") + kStamp)));
    final = run.commit();
    CHECK_THROWS_AS(run.commit(), std::logic_error);
  }
  CHECK(final == parent / (std::string("base-") + kStamp));
  CHECK(names_in(parent) == std::vector<std::string>{std::string("base-") + kStamp});
  CHECK(names_in(final) == std::vector<std::string>{"plan.json", "plan.xlsx", "tiles"});
  CHECK(bytes_of(final / "plan.json") == "{}\n");
  struct stat status {};
  REQUIRE(::stat(final.c_str(), &status) == 0);
  const mode_t mask = ::umask(0);
  ::umask(mask);
  CHECK((status.st_mode & 0777U) == (0777U & ~mask));
}

TEST_CASE("a taken name is never replaced") {
  const auto folder = fresh_folder("taken");
  std::vector<fs::path> made;
  for (int i = 0; i < 3; ++i) {
    RunFolder run(folder, "base", kTime);
    run.write("plan.json", std::to_string(i));
    made.push_back(run.commit());
  }
  CHECK(made[1].filename() == std::string("base-") + kStamp + "-2");
  CHECK(made[2].filename() == std::string("base-") + kStamp + "-3");
  for (std::size_t i = 0; i < made.size(); ++i) CHECK(bytes_of(made[i] / "plan.json") == std::to_string(i));

  // Also an empty folder, a file and a dangling link that lie where the name would go.
  const auto other = fresh_folder("taken-otherwise");
  const std::string name = std::string("base-") + kStamp;
  fs::create_directory(other / name);
  std::ofstream(other / (name + "-2")) << "a file";
  fs::create_symlink("nowhere", other / (name + "-3"));
  RunFolder run(other, "base", kTime);
  CHECK(run.commit().filename() == name + "-4");
  CHECK(fs::is_empty(other / name));
  CHECK(bytes_of(other / (name + "-2")) == "a file");
}

TEST_CASE("two runs that end at once both stay") {
  const auto folder = fresh_folder("race");
  RunFolder one(folder, "base", kTime), two(folder, "base", kTime);
  one.write("plan.json", "one");
  two.write("plan.json", "two");
  const auto second = two.commit(), first = one.commit();
  CHECK(bytes_of(second / "plan.json") == "two");
  CHECK(bytes_of(first / "plan.json") == "one");
}

TEST_CASE("an uncommitted folder is removed") {
  const auto folder = fresh_folder("uncommitted");
  {
    RunFolder run(folder, "base", kTime);
    run.write("plan.json", "{}");
    CHECK(names_in(folder).size() == 1);
  }
  CHECK(fs::is_empty(folder));
}

TEST_CASE("killed halfway: nothing that looks like a run, and the next run is not disturbed") {
  const auto folder = fresh_folder("killed");
  const int ended = in_child([&] {
    RunFolder run(folder, "base", kTime);
    run.write("plan.json", "{}");
    ::kill(::getpid(), SIGKILL);
    return 0;
  });
  CHECK(ended == -SIGKILL);
  for (const auto& name : names_in(folder)) CHECK(name.starts_with(".partial-"));
  RunFolder run(folder, "base", kTime);
  run.write("plan.json", "{}");
  CHECK(run.commit().filename() == std::string("base-") + kStamp);
}

TEST_CASE("a file larger than allowed: the file is named, nothing stays") {
  const auto folder = fresh_folder("too-large");
  const int ended = in_child([&] {
    ::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{4096, 4096};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    const auto words = output_error([&] {
      RunFolder run(folder, "base", kTime);
      run.write("manifest.json", "{}");
      run.write("plan.json", std::string(10000, 'x'));
      run.commit();
    });
    return words.ends_with("/plan.json: cannot be written: file too large; free some space or choose another place with --out") ? 0 : 1;
  });
  CHECK(ended == 0);
  CHECK(fs::is_empty(folder));
}

TEST_CASE("a full disk: the file is named, nothing stays") {
  REQUIRE_MESSAGE(::geteuid() == 0, "needs the right to mount a small disk");
  const auto folder = fresh_folder("full");
  REQUIRE_MESSAGE(::mount("tmpfs", folder.c_str(), "tmpfs", 0, "size=64k") == 0, "cannot mount a small disk");
  std::string words, later;
  bool empty = false;
  words = output_error([&] {
    RunFolder run(folder, "base", kTime);
    run.write("scenarios.csv", std::string(300000, 'x'));
    run.commit();
  });
  later = output_error([&] {
    RunFolder run(folder, "base", kTime);
    run.write("plan.json", "{}");
    run.commit();
  });
  empty = names_in(folder) == std::vector<std::string>{std::string("base-") + kStamp};
  ::umount(folder.c_str());
  CHECK(words.ends_with("/scenarios.csv: cannot be written: no space left on device; free some space or choose another place with --out"));
  CHECK(later == "no error");  // what was half-written took its space with it
  CHECK(empty);
}

TEST_CASE("places that take no folder: read-only, a file in the way, not allowed") {
  const auto folder = fresh_folder("read-only");
  std::ofstream(folder / "file") << "x";
  CHECK(output_error([&] { RunFolder run(folder / "file" / "runs", "base", kTime); }).find("not a directory; ") != std::string::npos);
  // Where anybody may walk in: the build folder may lie under one that is root's alone.
  const auto open = fs::temp_directory_path() / ("rickyard-closed-" + std::to_string(::getpid()));
  fs::create_directories(open / "closed");
  fs::permissions(open,
                  fs::perms::owner_all | fs::perms::group_read | fs::perms::group_exec | fs::perms::others_read | fs::perms::others_exec);
  fs::permissions(open / "closed", fs::perms::owner_read | fs::perms::owner_exec);
  const int ended = in_child([&] {
    if (::geteuid() == 0 && ::setuid(65534) != 0) return 2;  // root may write anywhere
    const auto words = output_error([&] { RunFolder run(open / "closed", "base", kTime); });
    return words.ends_with("closed: takes no new folder: permission denied; choose a place you may write to with --out") ? 0 : 1;
  });
  CHECK(ended == 0);
  fs::permissions(open / "closed", fs::perms::owner_all);
  fs::remove_all(open);

  REQUIRE_MESSAGE(::geteuid() == 0, "needs the right to mount a read-only disk");
  fs::create_directory(folder / "disk");
  REQUIRE(::mount("tmpfs", (folder / "disk").c_str(), "tmpfs", MS_RDONLY, "size=64k") == 0);
  const auto words = output_error([&] { RunFolder run(folder / "disk", "base", kTime); });
  ::umount((folder / "disk").c_str());
  CHECK(words.ends_with("disk: takes no new folder: read-only file system; choose a place you may write to with --out"));
}

TEST_CASE("names that are not plain are refused or made plain") {
  const auto folder = fresh_folder("names");
  RunFolder run(folder, "base", kTime);
  for (const char* name : {"", ".", "..", "../plan.json", "a/b", "a\\b"}) CHECK_THROWS_AS(run.write(name, "x"), std::logic_error);
  CHECK(run_folder_name("dry year", kTime) == std::string("dry-year-") + kStamp);
  CHECK(run_folder_name("../../etc", kTime) == std::string("etc-") + kStamp);
  CHECK(run_folder_name(".hidden", kTime) == std::string("hidden-") + kStamp);
  CHECK(run_folder_name("", kTime) == std::string("run-") + kStamp);
  CHECK(run_folder_name(std::string(500, 'a'), kTime) == std::string(80, 'a') + "-" + kStamp);
  CHECK(run_folder_name("1.65_limit", 0) == "1.65_limit-19700101T000000Z");
}

TEST_CASE("SHA-256") {
  // FIPS 180-2, appendix B.1 and B.2; the empty string from the same standard's test vectors.
  CHECK(sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(sha256_hex("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  const auto folder = fresh_folder("sha256");
  const std::string large(3'000'001, 'x');
  write_file(folder / "large", large);
  CHECK(sha256_of_file(folder / "large") == sha256_hex(large));
  fs::create_directories(folder / "store" / "b");
  write_file(folder / "store" / "b" / "0", "abc");
  write_file(folder / "store" / "a", "");
  CHECK(sha256_of_file(folder / "store") == sha256_hex(sha256_hex("") + "  a\n" + sha256_hex("abc") + "  b/0\n"));
  CHECK_THROWS_AS(sha256_of_file(folder / "missing"), InputError);
}

TEST_CASE("the manifest holds every input, parameter, anchor and weight in full") {
  Manifest m;
  m.version = "0.1.0";
  m.made_at = kTime;
  m.note = "before signing";
  m.seed = 7;
  m.threads = 2;
  m.inputs = {{"rain.nc", std::string(64, 'b'), "rain"}};
  m.parameters = {{"heat_threshold_c", 28}, {"k", 1.0 / 3}};
  m.anchors = {{"north-area", 6.123456789012345, -0.01, 0.5, 0, 3.25, 0.125, 210.5, 1.02}};
  m.year_weights = {{2001, 1.0 / 30}};
  m.seconds = {{"crop", 1.23456}, {"sourcing", 0.5}};
  const auto json = nlohmann::json::parse(manifest_json(m));
  CHECK(json["rickyard"]["kernel"] == "exact");
  CHECK(json["made_at"] == "2027-03-31T12:00:00Z");
  CHECK(json["inputs"][0]["sha256"] == std::string(64, 'b'));
  CHECK(json["parameters"]["k"].get<double>() == 1.0 / 3);
  CHECK(json["anchors"][0]["yield_a"].get<double>() == 6.123456789012345);
  CHECK(json["anchors"][0]["germination_held_points"].get<double>() == 3.25);
  CHECK(json["anchors"][0]["mean_water_loss_share"].get<double>() == 0.125);
  CHECK(json["anchors"][0]["mean_drainage_winter_mm"].get<double>() == 210.5);
  CHECK(json["anchors"][0]["thermal_factor"].get<double>() == 1.02);
  CHECK(json["year_weights"][0]["weight"].get<double>() == 1.0 / 30);
  CHECK(json["seconds"][0]["seconds"].get<double>() == 1.235);
  CHECK(json["seconds"][1]["stage"] == "sourcing");
  CHECK(json["threads"] == 2);
  m.anchors[0].n_shift_pct = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_WITH(manifest_json(m), "manifest: anchor of north-area is not a finite number");
}
