#include "formats/inflate.h"

#include <zlib.h>

#include <algorithm>
#include <limits>
#include <vector>

namespace tapersight {

std::optional<std::string> inflate_at_most(std::string_view packed, std::size_t most_bytes) {
  z_stream z{};
  if (packed.size() > std::numeric_limits<uInt>::max() || inflateInit(&z) != Z_OK) return std::nullopt;
  z.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(packed.data()));
  z.avail_in = static_cast<uInt>(packed.size());
  std::string out;
  constexpr std::size_t kPiece = 1 << 16;
  int state = Z_OK;
  while (state == Z_OK && out.size() <= most_bytes) {
    const std::size_t before = out.size();
    out.resize(before + kPiece);
    z.next_out = reinterpret_cast<Bytef*>(out.data() + before);
    z.avail_out = kPiece;
    state = inflate(&z, Z_NO_FLUSH);
    out.resize(out.size() - z.avail_out);
  }
  inflateEnd(&z);
  if (state != Z_STREAM_END || out.size() > most_bytes) return std::nullopt;
  return out;
}

std::optional<std::size_t> inflated_size(std::string_view packed, std::size_t most_bytes) {
  z_stream z{};
  if (packed.size() > std::numeric_limits<uInt>::max() || inflateInit(&z) != Z_OK) return std::nullopt;
  z.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(packed.data()));
  z.avail_in = static_cast<uInt>(packed.size());
  std::vector<Bytef> piece(1 << 16);
  int state = Z_OK;
  while (state == Z_OK && z.total_out <= most_bytes) {
    z.next_out = piece.data();
    z.avail_out = static_cast<uInt>(piece.size());
    state = inflate(&z, Z_NO_FLUSH);
  }
  const std::size_t size = z.total_out;
  inflateEnd(&z);
  if (state != Z_STREAM_END || size > most_bytes) return std::nullopt;
  return size;
}

}  // namespace tapersight
