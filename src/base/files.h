// Files read and written whole.
#pragma once
#include <string>

#include "base/result.h"

namespace tapersight {

// The bytes of a regular file. Failures: "file-not-readable", "file-too-large" (more than `most_bytes`).
constexpr std::size_t kAnySize = static_cast<std::size_t>(-1);
Result<std::string> read_file(const std::string& path, std::size_t most_bytes = kAnySize);

// Writes `bytes` under a temporary name beside `path` and renames it, so that `path` holds either its old
// content or all of the new. Returns the number of bytes. Failure "file-not-writable".
Result<std::size_t> write_file_whole(const std::string& path, const std::string& bytes);

}  // namespace tapersight
