#pragma once
// Plain values to bytes and back, for what geo keeps between runs. The bytes are of this machine: a kept entry never travels.
#include <cstddef>
#include <cstring>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>
#include <type_traits>
#include <vector>

namespace rickyard {

template <typename T>
concept PlainValue = std::is_trivially_copyable_v<T> &&(std::is_arithmetic_v<T> || std::is_enum_v<T>);

class ByteWriter {
 public:
  template <PlainValue T>
  void put(T value) {
    const auto* from = reinterpret_cast<const std::byte*>(&value);
    bytes_.insert(bytes_.end(), from, from + sizeof(T));
  }
  void put(const std::string& text) { put_all<char>(text); }
  template <PlainValue T>
  void put(const std::vector<T>& values) {
    put_all<T>(values);
  }
  /// A count first, then put_one for each.
  template <typename T, typename PutOne>
  void put_each(const std::vector<T>& values, PutOne put_one) {
    put(values.size());
    for (const auto& value : values) put_one(value);
  }
  const std::vector<std::byte>& bytes() const { return bytes_; }

 private:
  template <typename T>
  void put_all(std::span<const T> values) {
    put(values.size());
    const auto from = std::as_bytes(values);
    bytes_.insert(bytes_.end(), from.begin(), from.end());
  }
  std::vector<std::byte> bytes_;
};

/// Reads what a ByteWriter wrote, in the same order. Throws std::out_of_range past the end.
class ByteReader {
 public:
  explicit ByteReader(std::span<const std::byte> bytes) : left_(bytes) {}

  template <PlainValue T>
  void get(T& value) {
    std::memcpy(&value, take(sizeof(T)).data(), sizeof(T));
  }
  void get(std::string& text) { get_all(text); }
  template <PlainValue T>
  void get(std::vector<T>& values) {
    get_all(values);
  }
  template <typename T, typename GetOne>
  void get_each(std::vector<T>& values, GetOne get_one) {
    values.resize(count(1));
    for (auto& value : values) get_one(value);
  }
  bool at_end() const { return left_.empty(); }

 private:
  std::span<const std::byte> take(std::size_t n) {
    if (n > left_.size()) throw std::out_of_range("kept bytes end early");
    const auto out = left_.first(n);
    left_ = left_.subspan(n);
    return out;
  }
  // Each element takes at least `least` bytes, so a false count is found before memory is asked for.
  std::size_t count(std::size_t least) {
    std::size_t n = 0;
    get(n);
    if (n > left_.size() / least) throw std::out_of_range("kept bytes end early");
    return n;
  }
  template <typename Container>
  void get_all(Container& values) {
    constexpr std::size_t kEach = sizeof(typename Container::value_type);
    values.resize(count(kEach));
    const auto from = take(values.size() * kEach);
    if (!from.empty()) std::memcpy(values.data(), from.data(), from.size());
  }
  std::span<const std::byte> left_;
};

}  // namespace rickyard
