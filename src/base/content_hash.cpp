#include "base/content_hash.h"

#include <algorithm>
#include <memory>

#define XXH_INLINE_ALL
#include <xxhash.h>

#include "base/files.h"

namespace tapersight {
namespace {

std::string in_digits(const XXH128_hash_t& hash) {
  XXH128_canonical_t canonical;
  XXH128_canonicalFromHash(&canonical, hash);
  std::string hex;
  for (const unsigned char byte : canonical.digest) {
    hex += "0123456789abcdef"[byte >> 4];
    hex += "0123456789abcdef"[byte & 15];
  }
  return hex;
}

}  // namespace

std::string content_hash(std::string_view bytes) {
  return in_digits(XXH3_128bits(bytes.data(), bytes.size()));
}

Result<std::string> content_hash_of_file(const std::string& path, std::size_t most_bytes) {
  const auto file = InputFile::open(path, most_bytes);
  if (!file) return file.failure();
  constexpr std::size_t kPiece = 256U << 10;
  const auto state = std::make_unique<XXH3_state_t>();
  XXH3_128bits_reset(state.get());
  std::string piece;
  for (std::size_t at = 0; at < file->size(); at += piece.size()) {
    if (!file->read(at, std::min(kPiece, file->size() - at), piece))
      return Failure{"file-not-readable", "Cannot read \"" + path + "\": it ended early.",
                     "Check the file's name."};
    XXH3_128bits_update(state.get(), piece.data(), piece.size());
  }
  return in_digits(XXH3_128bits_digest(state.get()));
}

}  // namespace tapersight
