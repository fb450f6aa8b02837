#include "imaging/picture.h"

#include <cmath>
#include <opencv2/imgcodecs.hpp>

#include "base/files.h"
#include "imaging/file_resolution.h"

namespace tapersight {

Result<Picture> load_picture(const std::string& path) {
  Result<std::string> bytes = read_file(path);
  if (!bytes) return bytes.failure();
  const Failure not_a_picture{"not-a-picture", "\"" + path + "\" is not a picture that can be read.",
                              "Save the scan as JPEG, PNG or TIFF and try again."};
  if (bytes->empty()) return not_a_picture;
  Picture picture;
  picture.path = path;
  try {
    const cv::Mat raw(1, static_cast<int>(bytes->size()), CV_8UC1, bytes->data());
    picture.grey = cv::imdecode(raw, cv::IMREAD_GRAYSCALE);
  } catch (const cv::Exception&) {
    return not_a_picture;
  }
  if (picture.grey.empty()) return not_a_picture;
  if (const auto resolution = file_resolution(*bytes)) {
    picture.dpi_u = resolution->dpi_u;
    picture.dpi_v = resolution->dpi_v;
  }
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
