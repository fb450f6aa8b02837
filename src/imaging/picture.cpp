#include "imaging/picture.h"

#include <cmath>

#include "base/files.h"
#include "formats/checks.h"
#include "formats/read_picture.h"

namespace tapersight {

namespace {

Result<FilePicture> read_here(const std::string& path, const ReadOptions& options) {
  const Result<std::string> bytes = read_file(path, options.limits.most_file_bytes);
  if (!bytes) return bytes.failure();
  auto read = read_picture(*bytes, options);
  return read ? std::move(read) : named(read.failure(), path);
}

}  // namespace

Result<Picture> load_picture(const std::string& path, const ReadOptions& options, DecodingRoom* room) {
  auto read = room ? room->read(path, options) : read_here(path, options);
  if (!read) return read.failure();
  Picture picture;
  picture.path = path;
  picture.grey = read->grey;
  picture.held = read->held;
  if (read->dpi) {
    picture.dpi_u = read->dpi->u;
    picture.dpi_v = read->dpi->v;
  }
  picture.by_camera = read->by_camera;
  return picture;
}

const std::array<float, 256>& light_of_code() {
  static const std::array<float, 256> table = [] {
    std::array<float, 256> t{};
    for (int i = 0; i < 256; ++i) {
      const double c = i / 255.0;
      t[static_cast<std::size_t>(i)] =
          static_cast<float>(c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4));
    }
    return t;
  }();
  return table;
}

}  // namespace tapersight
