// Files of every format. The first byte chooses the page, and whether the checksums of a PNG are put right,
// or hardly any change would get past them; the rest is the file.
#include <zlib.h>

#include <cmath>

#include "formats/exif.h"
#include "fuzz/picture_target.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

void require_dpi(const std::optional<Dpi>& dpi) {
  if (dpi)
    require(dpi->u > 0 && dpi->v > 0 && std::isfinite(dpi->u) && std::isfinite(dpi->v), "an impossible dpi");
}

std::size_t big_endian_at(const std::string& bytes, std::size_t at) {
  std::size_t number = 0;
  for (std::size_t i = 0; i < 4; ++i) number = number << 8 | static_cast<unsigned char>(bytes[at + i]);
  return number;
}

void mend_png(std::string& file) {
  constexpr std::size_t kMark = 8, kAround = 12;  // length, name and checksum
  for (std::size_t at = kMark; at + kAround <= file.size();) {
    const std::size_t length = big_endian_at(file, at);
    if (length > file.size() - at - kAround) return;
    const auto* body = reinterpret_cast<const Bytef*>(file.data()) + at + 4;
    const uLong sum = crc32(0, body, static_cast<uInt>(length + 4));
    for (std::size_t i = 0; i < 4; ++i) file[at + 8 + length + i] = static_cast<char>(sum >> (24 - 8 * i));
    at += length + kAround;
  }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Draw draw(data, size);
  ReadOptions options = small_read_options();
  const int first = draw.byte();
  if (first % 32 < 16) options.page = first % 32;
  std::string file = draw.rest();
  if (first >= 128 && file.compare(0, 4, "\x89PNG") == 0) mend_png(file);
  if (const auto picture = read_picture(file, options); read_soundly(picture, options))
    require_dpi(picture->dpi);
  const ExifNotes notes = read_exif(file);
  require(notes.orientation >= 1 && notes.orientation <= 8, "an impossible orientation");
  require_dpi(notes.dpi);
  return 0;
}
