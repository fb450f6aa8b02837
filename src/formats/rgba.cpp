#include "formats/rgba.h"

#include <cstddef>

#include "formats/checks.h"
#include "formats/grey_row.h"

namespace tapersight {

Result<FilePicture> read_rgba(const std::uint8_t* pixels, int width, int height, const ReadOptions& options) {
  const double count = double{1} * width * height;
  if (const auto failure = check_size(width, height, 5 * count, options.limits)) return *failure;
  FilePicture picture;
  picture.grey = grey_picture(height, width, options);
  for (int row = 0; row < height; ++row)
    grey_row(pixels + static_cast<std::size_t>(row) * static_cast<std::size_t>(width) * 4, width, 4,
             picture.grey.ptr(row));
  return picture;
}

}  // namespace tapersight
