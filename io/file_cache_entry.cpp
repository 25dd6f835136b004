#include "io/file_cache_entry.h"

#include <fcntl.h>
#include <sys/stat.h>

#include <cerrno>
#include <optional>
#include <stdexcept>
#include <system_error>
#include <utility>

namespace rickyard {
namespace {

constexpr int kUnchecked = 0, kChecking = 1, kGood = 2, kDamaged = 3;

}  // namespace

MappedEntry::MappedEntry(std::shared_ptr<CacheFolder> folder, std::string name, FileId id, EntryLayout layout, MappedFile file, Parts parts)
    : folder_(std::move(folder)),
      name_(std::move(name)),
      id_(id),
      layout_(std::move(layout)),
      file_(std::move(file)),
      states_(layout_.parts) {
  for (auto& state : states_) state.store(parts == Parts::good ? kGood : kUnchecked, std::memory_order_relaxed);
}

std::span<const std::byte> MappedEntry::bytes() const { return file_.bytes().subspan(layout_.payload_offset); }

void MappedEntry::check_range(std::size_t offset, std::size_t size) const {
  if (offset > layout_.payload_bytes || size > layout_.payload_bytes - offset)
    throw std::logic_error("bytes beyond the end of an entry: " + std::to_string(offset) + " + " + std::to_string(size) + " of " +
                           std::to_string(layout_.payload_bytes));
}

void MappedEntry::require(std::size_t offset, std::size_t size) const {
  check_range(offset, size);
  if (size == 0) return;
  const std::size_t last = (offset + size - 1) / layout_.part_bytes;
  for (std::size_t part = offset / layout_.part_bytes; part <= last; ++part) require_part(part);
}

// One thread checks, the others wait for its answer.
void MappedEntry::require_part(std::size_t part) const {
  auto& state = states_[part];
  for (;;) {
    int seen = state.load(std::memory_order_acquire);
    if (seen == kGood) return;
    if (seen == kDamaged) damaged(part);
    if (seen == kChecking) {
      state.wait(kChecking, std::memory_order_acquire);
      continue;
    }
    if (!state.compare_exchange_strong(seen, kChecking, std::memory_order_acquire)) continue;
    state.store(matches(part) ? kGood : kDamaged, std::memory_order_release);
    state.notify_all();
  }
}

bool MappedEntry::matches(std::size_t part) const {
  return file_.readable(layout_.part_offset(part), layout_.part_size(part)) &&
         layout_.part_sum(file_.bytes(), part) == layout_.kept_sum(file_.bytes(), part);
}

void MappedEntry::damaged(std::size_t part) const {
  const std::string what = "is damaged in part " + std::to_string(part + 1) + " of " + std::to_string(layout_.parts) + ": ";
  const std::string words = what + folder_->remove(name_, id_);
  folder_->say(name_, words);
  throw DamagedEntry(folder_->at(name_).generic_string() + ": " + words);
}

void MappedEntry::release(std::size_t offset, std::size_t size) const {
  check_range(offset, size);
  file_.release(layout_.payload_offset + offset, size);
}

std::shared_ptr<const CacheEntry> open_entry(const std::shared_ptr<CacheFolder>& folder, const CacheKey& key) {
  const std::string name = names_of(key).entry;
  if (folder->path.empty()) return nullptr;
  const OpenFile file = folder->open(name, O_RDONLY);
  if (!file) {
    if (errno != ENOENT && errno != ENOTDIR) folder->say(name, "not taken: " + error_words(errno));
    return nullptr;
  }
  struct stat status {};
  if (!file.status(status) || !S_ISREG(status.st_mode)) {
    folder->say(name, "not taken: not a file");
    return nullptr;
  }
  const FileId id = id_of(status);
  if (folder->left_out(id)) return nullptr;
  try {
    if (status.st_size == 0) throw NotTaken("is cut short");
    MappedFile bytes(file, static_cast<std::size_t>(status.st_size), MappedFile::Access::read);
    EntryLayout layout = read_layout(key, bytes.bytes());
    ::futimens(file.fd(), nullptr);  // used now; where the file is not ours to touch it keeps its time
    return std::make_shared<MappedEntry>(folder, name, id, std::move(layout), std::move(bytes), MappedEntry::Parts::unchecked);
  } catch (const NotTaken& why) {
    folder->say(name, std::string(why.what()) + ": " + folder->remove(name, id));
  } catch (const std::system_error& error) {
    folder->say(name, "not taken: " + error_words(error.code().value()));
  }
  return nullptr;
}

}  // namespace rickyard
