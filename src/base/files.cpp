#include "base/files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <utility>

namespace tapersight {
namespace {

std::string reason(int error) {
  return std::strerror(error);
}

Failure not_writable(const std::string& path, const std::string& why) {
  return {"file-not-writable", "Cannot write \"" + path + "\": " + why + ".",
          "Check the folder's name, its permissions and the free space."};
}

bool read_at(int descriptor, std::size_t offset, std::size_t count, std::string& bytes) {
  bytes.resize(count);
  for (std::size_t done = 0; done < count;) {
    const ssize_t n = ::pread(descriptor, &bytes[done], count - done, static_cast<off_t>(offset + done));
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    done += static_cast<std::size_t>(n);
  }
  return true;
}

bool write_all(int descriptor, const std::string& bytes) {
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t n = ::write(descriptor, bytes.data() + done, bytes.size() - done);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    done += static_cast<std::size_t>(n);
  }
  return ::fsync(descriptor) == 0 || errno == EINVAL || errno == EROFS;
}

}  // namespace

Result<InputFile> InputFile::open(const std::string& path, std::size_t most_bytes) {
  const auto not_readable = [&](const std::string& why) {
    return Failure{"file-not-readable", "Cannot read \"" + path + "\": " + why + ".",
                   "Check the file's name."};
  };
  // Without waiting for a writer, should it be a pipe.
  InputFile file(::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC), 0);
  struct stat status {};
  if (file.descriptor_ < 0 || ::fstat(file.descriptor_, &status) != 0) return not_readable(reason(errno));
  if (S_ISDIR(status.st_mode)) return not_readable("it is a folder");
  if (!S_ISREG(status.st_mode)) return not_readable("it is not a regular file");
  file.size_ = static_cast<std::size_t>(status.st_size);
  if (file.size_ <= most_bytes) return file;
  return Failure{"file-too-large",
                 "\"" + path + "\" has " + std::to_string(file.size_ >> 20) + " MB, more than the limit of " +
                     std::to_string(most_bytes >> 20) + " MB.",
                 "Save it smaller, as a grey JPEG for example, or raise --max-file-mb."};
}

InputFile::InputFile(InputFile&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)), size_(other.size_) {}

InputFile& InputFile::operator=(InputFile&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  std::swap(size_, other.size_);
  return *this;
}

InputFile::~InputFile() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

bool InputFile::read(std::size_t offset, std::size_t count, std::string& bytes) const {
  return read_at(descriptor_, offset, count, bytes);
}

bool read_whole(int descriptor, std::size_t size, std::string& bytes) {
  return read_at(descriptor, 0, size, bytes);
}

Result<std::string> read_file(const std::string& path, std::size_t most_bytes) {
  const auto file = InputFile::open(path, most_bytes);
  if (!file) return file.failure();
  std::string bytes;
  if (read_whole(file->descriptor(), file->size(), bytes)) return bytes;
  return Failure{"file-not-readable", "Cannot read \"" + path + "\": it ended early.",
                 "Check the file's name."};
}

Result<std::string> read_text_file(const std::string& path, std::size_t most_bytes) {
  auto text = read_file(path, most_bytes);
  if (text || text.failure().code != "file-too-large") return text;
  return Failure{"file-too-large",
                 "\"" + path + "\" has more than " + std::to_string(most_bytes >> 10) +
                     " kB, which no file of this kind has.",
                 "Check the file's name."};
}

std::optional<Failure> check_writable_kind(const std::string& path) {
  struct stat status {};
  if (::lstat(path.c_str(), &status) != 0 || S_ISREG(status.st_mode)) return std::nullopt;
  return not_writable(path, S_ISDIR(status.st_mode)   ? "it is a folder"
                            : S_ISLNK(status.st_mode) ? "it is a symbolic link"
                                                      : "it is not a regular file");
}

Result<std::size_t> write_file_whole(const std::string& path, const std::string& bytes) {
  if (auto failure = check_writable_kind(path)) return *failure;
  // The longest names leave no room for more: their beginning does.
  constexpr std::size_t kLongestName = 255;
  const std::string mark = ".part-XXXXXX";
  const std::size_t name = path.rfind('/') == std::string::npos ? 0 : path.rfind('/') + 1;
  std::string temporary = path.substr(0, name) + path.substr(name, kLongestName - mark.size()) + mark;
  const int descriptor = ::mkostemp(temporary.data(), O_CLOEXEC);
  if (descriptor < 0) return not_writable(path, reason(errno));
  bool good = write_all(descriptor, bytes);
  int error = errno;
  const mode_t mask = ::umask(0);
  ::umask(mask);
  if (good && ::fchmod(descriptor, 0666 & ~mask) != 0) good = false, error = errno;
  if (::close(descriptor) != 0 && good) good = false, error = errno;
  if (good && std::rename(temporary.c_str(), path.c_str()) != 0) good = false, error = errno;
  if (good) return bytes.size();
  ::unlink(temporary.c_str());
  return not_writable(path, reason(error));
}

}  // namespace tapersight
