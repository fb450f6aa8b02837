#include "record/sled_log.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>

#include "base/text.h"

namespace tapersight {
namespace {

constexpr off_t kLargest = 64 << 20;  // a million measurements; beyond it the file is something else

// An open file that is closed, and with it unlocked, at the end of the scope.
class File {
 public:
  // Without waiting, should it be a pipe.
  File(const std::string& path, int flags)
      : descriptor_(::open(path.c_str(), flags | O_CLOEXEC | O_NONBLOCK | O_NOCTTY, 0644)) {}
  File(const File&) = delete;
  File& operator=(const File&) = delete;
  ~File() {
    if (descriptor_ >= 0) ::close(descriptor_);
  }
  bool is_open() const { return descriptor_ >= 0; }
  int descriptor() const { return descriptor_; }

  bool lock(int how) const {
    int result = 0;
    do result = ::flock(descriptor_, how);
    while (result != 0 && errno == EINTR);
    return result == 0;
  }

  // Size of a regular file, or nothing.
  std::optional<off_t> size() const {
    struct stat info {};
    if (::fstat(descriptor_, &info) != 0 || !S_ISREG(info.st_mode)) return std::nullopt;
    return info.st_size;
  }

  // Up to `n` bytes from `offset`, or nothing on an error.
  std::optional<std::string> read(off_t offset, std::size_t n) const {
    std::string bytes(n, '\0');
    std::size_t done = 0;
    while (done < n) {
      const ssize_t got = ::pread(descriptor_, &bytes[done], n - done, offset + static_cast<off_t>(done));
      if (got < 0 && errno == EINTR) continue;
      if (got < 0) return std::nullopt;
      if (got == 0) break;
      done += static_cast<std::size_t>(got);
    }
    bytes.resize(done);
    return bytes;
  }

  // All of `bytes` at the end; false when that fails, errno says why.
  bool append(std::string_view bytes) const {
    while (!bytes.empty()) {
      const ssize_t put = ::write(descriptor_, bytes.data(), bytes.size());
      if (put < 0 && errno == EINTR) continue;
      if (put <= 0) return false;
      bytes.remove_prefix(static_cast<std::size_t>(put));
    }
    return true;
  }

 private:
  int descriptor_;
};

std::string system_words(int error) {
  return std::system_category().message(error);
}

Failure not_written(const std::string& path, const std::string& why) {
  return {"record-not-written", "The entry was not recorded in " + path + ": " + why + ".",
          "Make room or choose another place, then record it again; the entries before it are as they were."};
}

Failure unreadable(const std::string& path, const std::string& why) {
  return {"record-unreadable", "The record " + path + " cannot be read: " + why + ".",
          "Check the file's place and rights."};
}

Failure not_a_record(const std::string& path) {
  return {"not-a-record", path + " is not the record of a sled.",
          "Give the record another name; this file was left alone."};
}

// Whole, torn, or left as zeros by a power cut.
bool looks_like_a_line(std::string_view line) {
  const std::size_t n = std::min(line.size(), kRecordPrefix.size());
  return n > 0 && (line[0] == '\0' || line.substr(0, n) == kRecordPrefix.substr(0, n));
}

// Two lines are looked at because a line torn after its first byte could begin any JSON file.
constexpr std::size_t kHead = 4096;
bool begins_like_a_record(std::string_view head) {
  const std::size_t end = head.find('\n');
  if (!looks_like_a_line(head.substr(0, end))) return false;
  if (end == std::string_view::npos || end + 1 == head.size()) return true;
  const std::string_view second = head.substr(end + 1);
  return looks_like_a_line(second.substr(0, second.find('\n')));
}

// A new name in a folder is only safe once the folder itself is on the disk.
void sync_folder_of(const std::string& path) {
  const auto slash = path.find_last_of('/');
  const std::string folder = slash == std::string::npos ? "." : path.substr(0, slash + 1);
  const File handle(folder, O_RDONLY | O_DIRECTORY);
  if (handle.is_open()) ::fsync(handle.descriptor());
}

}  // namespace

Result<std::string> sled_file_name(std::string_view sled) {
  std::string name(trimmed(sled));
  const auto is_fine = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == ' ' ||
           c == '-' || c == '_' || c == '.';
  };
  if (name.empty() || name.size() > 60 || name.front() == '.' ||
      !std::all_of(name.begin(), name.end(), is_fine))
    return Failure{"bad-sled-name", "\"" + std::string(sled) + "\" cannot name a sled.",
                   "Use letters, digits, spaces, - and _, for example: bench 4."};
  std::replace(name.begin(), name.end(), ' ', '-');
  return name + ".sled.jsonl";
}

Result<SledLog> read_sled_log(const std::string& path) {
  const File file(path, O_RDONLY);
  if (!file.is_open() && errno == ENOENT)
    return Failure{"no-record", "There is no record " + path + " yet.",
                   "Record a measurement of this sled first."};
  if (!file.is_open() || !file.lock(LOCK_SH)) return unreadable(path, system_words(errno));
  const auto size = file.size();
  if (!size) return unreadable(path, "it is not a file");
  if (*size > kLargest) return not_a_record(path);
  const auto bytes = file.read(0, static_cast<std::size_t>(*size));
  if (!bytes) return unreadable(path, system_words(errno));
  if (!bytes->empty() && !begins_like_a_record(*bytes)) return not_a_record(path);

  SledLog log;
  std::string_view rest = *bytes;
  for (int number = 1; !rest.empty(); ++number) {
    const std::size_t end = std::min(rest.find('\n'), rest.size());
    const std::string_view line = rest.substr(0, end);
    rest.remove_prefix(std::min(end + 1, rest.size()));
    if (trimmed(line).empty()) continue;
    Result<RecordEntry> entry = from_line(line);
    if (entry)
      log.entries.push_back(*entry);
    else
      log.damaged.push_back({number, entry.failure()});
  }
  return log;
}

Result<std::string> remove_last_entry(const std::string& path) {
  const auto log = read_sled_log(path);  // is it a record at all?
  if (!log) return log.failure();
  const File file(path, O_RDWR);
  if (!file.is_open() || !file.lock(LOCK_EX)) return not_written(path, system_words(errno));
  const auto size = file.size();
  const auto bytes = size ? file.read(0, static_cast<std::size_t>(*size)) : std::nullopt;
  if (!bytes) return not_written(path, system_words(errno));
  const std::string_view whole = std::string_view(*bytes).substr(0, bytes->find_last_not_of('\n') + 1);
  if (whole.empty())
    return Failure{"record-empty", "The record " + path + " holds nothing to undo.", "Leave it as it is."};
  const std::size_t end = whole.rfind('\n');
  const std::size_t start = end == std::string_view::npos ? 0 : end + 1;
  if (::ftruncate(file.descriptor(), static_cast<off_t>(start)) != 0 || ::fsync(file.descriptor()) != 0)
    return not_written(path, system_words(errno));
  return std::string(whole.substr(start));
}

std::optional<Failure> append_entry(const std::string& path, const RecordEntry& entry) {
  if (auto failure = validate(entry)) return failure;
  const File file(path, O_RDWR | O_APPEND | O_CREAT);
  if (!file.is_open() || !file.lock(LOCK_EX)) return not_written(path, system_words(errno));
  const auto size = file.size();
  if (!size) return not_written(path, "it is not a file");
  std::string bytes = to_line(entry) + "\n";
  if (*size > 0) {
    const auto head = file.read(0, kHead);
    const auto last = file.read(*size - 1, 1);
    if (!head || !last) return not_written(path, system_words(errno));
    if (*size > kLargest || !begins_like_a_record(*head)) return not_a_record(path);
    if (*last != "\n") bytes.insert(0, "\n");  // closes off a line that was torn
  }
  if (!file.append(bytes) || ::fsync(file.descriptor()) != 0) {
    const int error = errno;
    if (::ftruncate(file.descriptor(), *size) == 0) ::fsync(file.descriptor());
    return not_written(path, system_words(error));
  }
  if (*size == 0) sync_folder_of(path);
  return std::nullopt;
}

}  // namespace tapersight
