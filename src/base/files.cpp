#include "base/files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fstream>

namespace tapersight {
namespace {

std::string reason(int error) {
  return std::strerror(error);
}

Failure not_writable(const std::string& path, const std::string& why) {
  return {"file-not-writable", "Cannot write \"" + path + "\": " + why + ".",
          "Check the folder's name, its permissions and the free space."};
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

Result<std::string> read_file(const std::string& path, std::size_t most_bytes) {
  struct stat status {};
  const auto not_readable = [&](const std::string& why) {
    return Failure{"file-not-readable", "Cannot read \"" + path + "\": " + why + ".",
                   "Check the file's name."};
  };
  if (::stat(path.c_str(), &status) != 0) return not_readable(reason(errno));
  if (S_ISDIR(status.st_mode)) return not_readable("it is a folder");
  if (!S_ISREG(status.st_mode)) return not_readable("it is not a regular file");
  if (static_cast<std::size_t>(status.st_size) > most_bytes)
    return Failure{"file-too-large",
                   "\"" + path + "\" has " + std::to_string(status.st_size >> 20) +
                       " MB, more than the limit of " + std::to_string(most_bytes >> 20) + " MB.",
                   "Save it smaller, as a grey JPEG for example, or raise --max-file-mb."};
  std::ifstream stream(path, std::ios::binary);
  if (!stream) return not_readable(reason(errno));
  std::string bytes(static_cast<std::size_t>(status.st_size), '\0');
  stream.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  if (stream.gcount() != static_cast<std::streamsize>(bytes.size())) return not_readable("it ended early");
  return bytes;
}

Result<std::size_t> write_file_whole(const std::string& path, const std::string& bytes) {
  struct stat status {};
  if (::stat(path.c_str(), &status) == 0 && !S_ISREG(status.st_mode)) {
    // A device or pipe cannot be replaced by a rename: write to it as it is.
    if (S_ISDIR(status.st_mode)) return not_writable(path, "it is a folder");
    const int descriptor = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
    if (descriptor < 0) return not_writable(path, reason(errno));
    const bool written = write_all(descriptor, bytes);
    const int error = errno;
    ::close(descriptor);
    if (!written) return not_writable(path, reason(error));
    return bytes.size();
  }
  std::string temporary = path + ".part-XXXXXX";
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
