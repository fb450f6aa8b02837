#include "record/sled_log.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

#include "record/sled_log_text.h"

namespace tapersight {
namespace {

constexpr std::size_t kHead = 4096;   // enough to tell a record by
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

// A new name in a folder is only safe once the folder itself is on the disk.
void sync_folder_of(const std::string& path) {
  const auto slash = path.find_last_of('/');
  const std::string folder = slash == std::string::npos ? "." : path.substr(0, slash + 1);
  const File handle(folder, O_RDONLY | O_DIRECTORY);
  if (handle.is_open()) ::fsync(handle.descriptor());
}

}  // namespace

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
  return parse_sled_log(path, *bytes);
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
