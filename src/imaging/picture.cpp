#include "imaging/picture.h"

#include <cmath>
#include <utility>

namespace tapersight {

Picture picture_of(FilePicture read, std::string path) {
  Picture picture;
  picture.path = std::move(path);
  picture.grey = read.grey;
  picture.held = read.held;
  if (read.dpi) {
    picture.dpi_u = read.dpi->u;
    picture.dpi_v = read.dpi->v;
  }
  picture.by_camera = read.by_camera;
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
