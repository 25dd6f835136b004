#include "io/sha256.h"

#include <openssl/evp.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>
#include <stdexcept>
#include <vector>

#include "planner/base/problem.h"

namespace rickyard {
namespace {

class Sha256 {
 public:
  Sha256() : context_(EVP_MD_CTX_new(), EVP_MD_CTX_free) {
    if (!context_ || EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr) != 1) throw std::runtime_error("SHA-256 is not available");
  }
  void add(const void* bytes, std::size_t size) {
    if (EVP_DigestUpdate(context_.get(), bytes, size) != 1) throw std::runtime_error("SHA-256 failed");
  }
  std::string hex() {
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned int size = 0;
    if (EVP_DigestFinal_ex(context_.get(), digest.data(), &size) != 1) throw std::runtime_error("SHA-256 failed");
    constexpr std::string_view digits = "0123456789abcdef";
    std::string text;
    for (unsigned int i = 0; i < size; ++i) {
      text += digits[digest[i] >> 4U];
      text += digits[digest[i] & 15U];
    }
    return text;
  }

 private:
  std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context_;
};

[[noreturn]] void unreadable(const std::filesystem::path& path, const std::string& why) {
  throw InputError(
      {{Severity::error, path.generic_string(), "", "cannot be read: " + why, "check that the file is there and may be read"}});
}

std::string of_file(const std::filesystem::path& path) {
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"), std::fclose);
  if (!file) unreadable(path, std::strerror(errno));
  Sha256 sum;
  std::vector<char> block(1U << 20U);
  for (;;) {
    const std::size_t n = std::fread(block.data(), 1, block.size(), file.get());
    sum.add(block.data(), n);
    if (n < block.size()) break;
  }
  if (std::ferror(file.get()) != 0) unreadable(path, std::strerror(errno));
  return sum.hex();
}

std::string of_folder(const std::filesystem::path& folder) {
  std::vector<std::string> names;
  std::error_code error;
  for (std::filesystem::recursive_directory_iterator at(folder, error), end; !error && at != end; at.increment(error))
    if (!at->is_directory()) names.push_back(at->path().lexically_relative(folder).generic_string());
  if (error) unreadable(folder, error.message());
  std::sort(names.begin(), names.end());
  Sha256 sum;
  for (const auto& name : names) {
    const std::string line = of_file(folder / name) + "  " + name + "\n";
    sum.add(line.data(), line.size());
  }
  return sum.hex();
}

}  // namespace

std::string sha256_hex(std::string_view bytes) {
  Sha256 sum;
  sum.add(bytes.data(), bytes.size());
  return sum.hex();
}

std::string sha256_of_file(const std::filesystem::path& path) {
  std::error_code error;
  return std::filesystem::is_directory(path, error) ? of_folder(path) : of_file(path);
}

}  // namespace rickyard
