#include "io/file_cache_draft.h"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <optional>
#include <stdexcept>
#include <system_error>
#include <utility>

namespace rickyard {
namespace {

constexpr int kMissing = 0, kFound = 1, kDone = 2;  // found: its checksum is still to be compared

[[noreturn]] void fail(int error) { throw std::system_error(error, std::generic_category()); }

// The shared draft of the key, locked, or none: somebody else is making it, or it is not ours to write.
std::optional<FileDraft::Place> lock_shared(const CacheFolder& folder, const std::string& name) {
  OpenFile file = folder.open(name, O_RDWR | O_CREAT);
  struct stat status {};
  if (!file) return std::nullopt;
  if (!file.status(status) || !S_ISREG(status.st_mode) || !file.lock()) return std::nullopt;
  // Between opening and locking, its last owner may have finished: then this file is the entry already.
  if (!folder.is_still(name, id_of(status))) return std::nullopt;
  return FileDraft::Place{std::move(file), name, id_of(status), false, false};
}

std::optional<FileDraft::Place> lock_private(const CacheFolder& folder, const std::string& stem) {
  const std::string name = stem + "-" + random_digits();
  OpenFile file = folder.open(name, O_RDWR | O_CREAT | O_EXCL);
  struct stat status {};
  if (!file) {
    if (errno == EEXIST) return std::nullopt;
    fail(errno);
  }
  if (!file.status(status) || !file.lock() || !folder.is_still(name, id_of(status))) return std::nullopt;
  return FileDraft::Place{std::move(file), name, id_of(status), true, false};
}

FileDraft::Place lock_place(const CacheFolder& folder, const std::string& name) {
  // More than one try: whoever tidies the folder locks a file for a moment.
  constexpr int kTries = 8;
  for (int i = 0; i < 2; ++i)
    if (auto place = lock_shared(folder, name)) return std::move(*place);
  for (int i = 0; i < kTries; ++i)
    if (auto place = lock_private(folder, name)) return std::move(*place);
  fail(EBUSY);
}

// The file holds this head at this length: a draft of the same entry, made by the same program.
bool holds(const OpenFile& file, const EntryLayout& layout) {
  struct stat status {};
  if (!file.status(status) || static_cast<std::size_t>(status.st_size) != layout.file_bytes) return false;
  std::string head(layout.head.size(), '\0');
  return ::pread(file.fd(), head.data(), head.size(), 0) == static_cast<ssize_t>(head.size()) && head == layout.head;
}

void write_head(const OpenFile& file, const EntryLayout& layout) {
  if (::ftruncate(file.fd(), 0) != 0) fail(errno);
  const ssize_t n = ::pwrite(file.fd(), layout.head.data(), layout.head.size(), 0);
  if (n != static_cast<ssize_t>(layout.head.size())) fail(n < 0 ? errno : ENOSPC);
}

// All blocks of the file, so that writing to its memory cannot meet a full disk.
void take_space(const OpenFile& file, std::size_t bytes) {
  rlimit limit{};
  // Beyond this limit the kernel sends a signal that ends the process.
  if (::getrlimit(RLIMIT_FSIZE, &limit) == 0 && limit.rlim_cur != RLIM_INFINITY && bytes > limit.rlim_cur) fail(EFBIG);
  int error = EINTR;
  while (error == EINTR) error = ::posix_fallocate(file.fd(), 0, static_cast<off_t>(bytes));
  if (error != 0) fail(error);
}

}  // namespace

FileDraft::FileDraft(std::shared_ptr<CacheFolder> folder, std::string entry_name, EntryLayout layout, Place place, MappedFile file)
    : folder_(std::move(folder)),
      entry_name_(std::move(entry_name)),
      layout_(std::move(layout)),
      place_(std::move(place)),
      file_(std::move(file)),
      states_(layout_.parts) {
  for (std::size_t part = 0; part < layout_.parts; ++part) {
    const bool found = place_.found && layout_.kept_sum(file_.bytes(), part) != 0;
    states_[part].store(found ? kFound : kMissing, std::memory_order_relaxed);
  }
}

FileDraft::~FileDraft() {
  if (finished_) return;
  const bool any = std::any_of(states_.begin(), states_.end(), [](const auto& state) { return state.load() != kMissing; });
  if (place_.is_private || !any) folder_->remove(place_.name, place_.id);
}

std::span<std::byte> FileDraft::bytes() {
  return finished_ ? std::span<std::byte>{} : file_.bytes().subspan(layout_.payload_offset, layout_.payload_bytes);
}

void FileDraft::check_unfinished(std::size_t part) const {
  if (finished_) throw std::logic_error("a finished entry is no draft");
  if (part >= layout_.parts) throw std::logic_error("a part beyond the end of a draft: " + std::to_string(part));
}

bool FileDraft::check_found(std::size_t part) const {
  const bool good = file_.readable(layout_.part_offset(part), layout_.part_size(part)) &&
                    layout_.part_sum(file_.bytes(), part) == layout_.kept_sum(file_.bytes(), part);
  states_[part].store(good ? kDone : kMissing, std::memory_order_release);
  return good;
}

bool FileDraft::done(std::size_t part) const {
  check_unfinished(part);
  const int state = states_[part].load(std::memory_order_acquire);
  return state == kDone || (state == kFound && check_found(part));
}

void FileDraft::mark_done(std::size_t part) {
  check_unfinished(part);
  layout_.keep_sum(file_.bytes(), part, layout_.part_sum(file_.bytes(), part));
  states_[part].store(kDone, std::memory_order_release);
}

void FileDraft::release(std::size_t part) {
  check_unfinished(part);
  // Writing begins now, so that the memory becomes free and `finish` waits for less.
  const std::size_t offset = layout_.part_offset(part), size = layout_.part_size(part);
  ::sync_file_range(place_.file.fd(), static_cast<off64_t>(offset), static_cast<off64_t>(size), SYNC_FILE_RANGE_WRITE);
  file_.release(offset, size);
}

// Gives the file its name. A failure is not the caller's: the bytes are there for this process.
MappedEntry::Parts FileDraft::keep() {
  layout_.seal_table(file_.bytes());
  int error = ::msync(file_.bytes().data(), file_.bytes().size(), MS_SYNC) == 0 ? 0 : errno;
  if (error == 0 && ::fsync(place_.file.fd()) != 0 && errno != EINVAL && errno != ENOTSUP) error = errno;
  const bool on_disk = error == 0;
  if (on_disk && ::rename(folder_->at(place_.name).c_str(), folder_->at(entry_name_).c_str()) != 0) error = errno;
  if (error == 0) {
    ::futimens(place_.file.fd(), nullptr);
    folder_->sync();
  } else {
    folder_->say(entry_name_, "not kept: " + error_words(error));
    // A complete draft waits for the next process, which only has to name it.
    if (!on_disk || place_.is_private) folder_->remove(place_.name, place_.id);
  }
  return on_disk ? MappedEntry::Parts::good : MappedEntry::Parts::unchecked;
}

std::shared_ptr<const CacheEntry> FileDraft::finish() {
  if (finished_) throw std::logic_error("a draft is finished once");
  for (std::size_t part = 0; part < layout_.parts; ++part)
    if (!done(part)) throw std::logic_error("part " + std::to_string(part) + " of a draft is not done");
  const auto parts = keep();
  finished_ = true;
  file_.make_read_only();
  auto entry = std::make_shared<MappedEntry>(folder_, entry_name_, place_.id, layout_, std::move(file_), parts);
  place_.file = OpenFile();  // the lock ends here
  return entry;
}

std::unique_ptr<CacheDraft> open_draft(const std::shared_ptr<CacheFolder>& folder, const CacheKey& key, const EntryLayout& layout) {
  const EntryNames names = names_of(key);
  std::optional<FileDraft::Place> place;
  try {
    place = lock_place(*folder, names.draft);
    place->found = holds(place->file, layout);
    if (!place->found) write_head(place->file, layout);
    take_space(place->file, layout.file_bytes);
    MappedFile file(place->file, layout.file_bytes, MappedFile::Access::write);
    return std::make_unique<FileDraft>(folder, names.entry, layout, std::move(*place), std::move(file));
  } catch (const std::system_error& error) {
    folder->say(names.entry, "not kept: " + error_words(error.code().value()));
    if (place && !place->found) folder->remove(place->name, place->id);
    return nullptr;
  }
}

}  // namespace rickyard
