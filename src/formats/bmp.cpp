#include "formats/bmp.h"

#include <cmath>
#include <cstdint>
#include <opencv2/imgcodecs.hpp>

#include "formats/checks.h"

namespace tapersight {
namespace {

std::uint32_t number_at(const std::string& bytes, std::size_t at, int length) {
  std::uint32_t number = 0;
  for (int i = length - 1; i >= 0; --i)
    number = number << 8 | static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(i)]);
  return number;
}

// BITMAPFILEHEADER and BITMAPINFOHEADER, fields by their offset in the file.
struct Header {
  std::uint32_t data_at = 0;
  double width = 0, height = 0;
  std::uint32_t bits = 0, compression = 0;
  double per_metre_u = 0, per_metre_v = 0;
};

Header header_of(const std::string& bytes) {
  const auto signed_at = [&](std::size_t at) {
    return static_cast<double>(static_cast<std::int32_t>(number_at(bytes, at, 4)));
  };
  Header h;
  h.data_at = number_at(bytes, 10, 4);
  h.width = signed_at(18);
  h.height = std::abs(signed_at(22));  // negative: the first row is the top one
  h.bits = number_at(bytes, 28, 2);
  h.compression = number_at(bytes, 30, 4);
  h.per_metre_u = signed_at(38);
  h.per_metre_v = signed_at(42);
  return h;
}

constexpr std::size_t kHeaderBytes = 54;

}  // namespace

bool is_bmp(const std::string& bytes) {
  return bytes.size() > 18 && bytes.compare(0, 2, "BM") == 0 && number_at(bytes, 14, 4) <= 256;
}

Result<FilePicture> read_bmp(const std::string& bytes, const ReadOptions& options) {
  if (auto failure = check_only_page(options)) return *failure;
  if (bytes.size() < kHeaderBytes) return damaged_picture();
  const Header h = header_of(bytes);
  const auto file_bytes = static_cast<double>(bytes.size());
  if (auto failure = check_size(h.width, h.height, file_bytes + h.width * h.height, options.limits))
    return *failure;
  constexpr std::uint32_t kPlain = 0, kBitFields = 3;
  constexpr std::size_t kColoursUsed = 46;
  if (number_at(bytes, kColoursUsed, 4) > 256) return damaged_picture();
  if (number_at(bytes, 14, 4) < 40 || (h.compression != kPlain && h.compression != kBitFields))
    return unsupported_picture("is a rare kind of BMP");
  const double row_bytes = std::ceil(h.width * h.bits / 32) * 4;
  if (h.data_at + row_bytes * h.height > file_bytes) return damaged_picture();
  FilePicture picture;
  try {
    const cv::Mat raw(1, static_cast<int>(bytes.size()), CV_8UC1, const_cast<char*>(bytes.data()));
    picture.grey = cv::imdecode(raw, cv::IMREAD_GRAYSCALE | cv::IMREAD_IGNORE_ORIENTATION);
  } catch (const cv::Exception&) {
    return damaged_picture();
  }
  if (picture.grey.cols != static_cast<int>(h.width) || picture.grey.rows != static_cast<int>(h.height))
    return damaged_picture();
  if (h.per_metre_u > 0 && h.per_metre_v > 0)
    picture.dpi = Dpi{h.per_metre_u * 0.0254, h.per_metre_v * 0.0254};
  return picture;
}

}  // namespace tapersight
