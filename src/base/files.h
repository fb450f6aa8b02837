// Files read and written whole.
#pragma once
#include <cstddef>
#include <optional>
#include <string>

#include "base/result.h"

namespace tapersight {

constexpr std::size_t kAnySize = static_cast<std::size_t>(-1);

// A regular file, open for reading and nothing else.
class InputFile {
 public:
  // Never waits, whatever `path` is. Failures: "file-not-readable", "file-too-large" (more than
  // `most_bytes`).
  static Result<InputFile> open(const std::string& path, std::size_t most_bytes = kAnySize);
  InputFile(InputFile&& other) noexcept;
  InputFile& operator=(InputFile&& other) noexcept;
  InputFile(const InputFile&) = delete;
  InputFile& operator=(const InputFile&) = delete;
  ~InputFile();

  int descriptor() const { return descriptor_; }
  std::size_t size() const { return size_; }
  // `count` bytes from `offset` on; false when it ends before that or cannot be read.
  bool read(std::size_t offset, std::size_t count, std::string& bytes) const;

 private:
  InputFile(int descriptor, std::size_t size) : descriptor_(descriptor), size_(size) {}
  int descriptor_ = -1;
  std::size_t size_ = 0;
};

// `size` bytes from the beginning of an open file; false when it ends before that or cannot be read.
bool read_whole(int descriptor, std::size_t size, std::string& bytes);

// The bytes of a regular file. Failures: those of InputFile::open.
Result<std::string> read_file(const std::string& path, std::size_t most_bytes = kAnySize);

// Likewise, of a file that people or programs write as text and that is never large: a megabyte unless told.
// Beyond it is something else, and is not read. Failures as above, in a text file's words.
constexpr std::size_t kLargestText = 1U << 20;
Result<std::string> read_text_file(const std::string& path, std::size_t most_bytes = kLargestText);

// Only a regular file, or nothing yet, is written to: a pipe would wait for a reader, a device does not keep
// what it gets, and what a link points at may be somebody else's. Failure "file-not-writable".
std::optional<Failure> check_writable_kind(const std::string& path);

// Writes `bytes` under a temporary name beside `path` and renames it, so that `path` holds either its old
// content or all of the new. Returns the number of bytes. Failure "file-not-writable", also of what
// check_writable_kind refuses.
Result<std::size_t> write_file_whole(const std::string& path, const std::string& bytes);

}  // namespace tapersight
