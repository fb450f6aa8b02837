#include "formats/bmp.h"

#include <array>
#include <cmath>
#include <cstdint>

#include "formats/checks.h"
#include "formats/grey_row.h"

namespace tapersight {
namespace {

constexpr std::size_t kFileHeaderBytes = 14;
constexpr std::uint32_t kPlain = 0, kBitFields = 3;  // the kinds of compression that are read

std::uint32_t number_at(const std::string& bytes, std::size_t at, int length) {
  std::uint32_t number = 0;
  for (int i = length - 1; i >= 0; --i)
    number = number << 8 | static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(i)]);
  return number;
}

// BITMAPFILEHEADER and BITMAPINFOHEADER, fields by their offset in the file.
struct Header {
  std::size_t data_at = 0, palette_at = 0, colours = 0;
  double width = 0, height = 0;
  bool top_first = false;
  std::uint32_t bits = 0, compression = 0;
  double per_metre_u = 0, per_metre_v = 0;
};

Header header_of(const std::string& bytes) {
  const auto signed_at = [&](std::size_t at) {
    return static_cast<double>(static_cast<std::int32_t>(number_at(bytes, at, 4)));
  };
  Header h;
  h.data_at = number_at(bytes, 10, 4);
  h.palette_at = kFileHeaderBytes + number_at(bytes, 14, 4);
  h.width = signed_at(18);
  h.height = std::abs(signed_at(22));
  h.top_first = signed_at(22) < 0;
  h.bits = number_at(bytes, 28, 2);
  h.compression = number_at(bytes, 30, 4);
  h.per_metre_u = signed_at(38);
  h.per_metre_v = signed_at(42);
  h.colours = number_at(bytes, 46, 4);
  if (h.bits <= 8 && h.colours == 0) h.colours = std::size_t{1} << h.bits;
  return h;
}

constexpr std::size_t kHeaderBytes = 54;

// Blue, green and red in bytes of their own, the first three of each pixel; bit fields may say otherwise.
bool in_usual_order(const std::string& bytes, const Header& h) {
  if (h.compression == kPlain) return true;
  return h.compression == kBitFields && h.bits == 32 && bytes.size() >= kHeaderBytes + 12 &&
         number_at(bytes, kHeaderBytes, 4) == 0xff0000 && number_at(bytes, kHeaderBytes + 4, 4) == 0xff00 &&
         number_at(bytes, kHeaderBytes + 8, 4) == 0xff;
}

std::uint8_t grey_of_bgr(const std::string& bytes, std::size_t at) {
  const auto* bgr = reinterpret_cast<const unsigned char*>(bytes.data()) + at;
  return grey_of_rgb(bgr[2], bgr[1], bgr[0]);
}

void read_row(const std::string& bytes, std::size_t at, const Header& h,
              const std::array<std::uint8_t, 256>& greys, cv::Mat& grey, int row) {
  const std::size_t bits = h.bits;
  std::uint8_t* out = grey.ptr(row);
  for (std::size_t x = 0; x < static_cast<std::size_t>(grey.cols); ++x) {
    if (bits >= 24) {
      out[x] = grey_of_bgr(bytes, at + x * bits / 8);
    } else {
      const unsigned byte = static_cast<unsigned char>(bytes[at + x * bits / 8]);
      out[x] = greys[byte >> (8 - bits - x * bits % 8) & ((1U << bits) - 1)];
    }
  }
}

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
  const bool depth_is_read = h.bits == 1 || h.bits == 4 || h.bits == 8 || h.bits == 24 || h.bits == 32;
  if (number_at(bytes, 14, 4) < 40 || !depth_is_read || !in_usual_order(bytes, h))
    return unsupported_picture("is a rare kind of BMP");
  const double row_bytes = std::ceil(h.width * h.bits / 32) * 4;
  if (static_cast<double>(h.data_at) + row_bytes * h.height > file_bytes) return damaged_picture();
  std::array<std::uint8_t, 256> greys{};
  if (h.bits <= 8) {
    if (h.colours > 256 || h.palette_at + 4 * h.colours > bytes.size()) return damaged_picture();
    for (std::size_t i = 0; i < h.colours; ++i) greys[i] = grey_of_bgr(bytes, h.palette_at + 4 * i);
  }
  FilePicture picture;
  picture.grey = grey_picture(static_cast<int>(h.height), static_cast<int>(h.width), options);
  for (int y = 0; y < picture.grey.rows; ++y)
    read_row(bytes, h.data_at + static_cast<std::size_t>(row_bytes) * static_cast<std::size_t>(y), h, greys,
             picture.grey, h.top_first ? y : picture.grey.rows - 1 - y);
  if (h.per_metre_u > 0 && h.per_metre_v > 0)
    picture.dpi = Dpi{h.per_metre_u * 0.0254, h.per_metre_v * 0.0254};
  return picture;
}

}  // namespace tapersight
