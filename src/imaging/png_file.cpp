#include "imaging/png_file.h"

#include <png.h>

#include <cmath>

namespace tapersight {
namespace {

void append(png_structp png, png_bytep data, png_size_t length) {
  static_cast<std::string*>(png_get_io_ptr(png))->append(reinterpret_cast<const char*>(data), length);
}

void flush(png_structp /*png*/) {}

struct Order {
  const unsigned char* pixels;
  unsigned width, height;
  std::size_t stride;
  bool colour;            // blue green red
  unsigned px_per_metre;  // 0: not told
  int compression;
};

// setjmp needs a frame of its own without destructors.
bool encode(png_structp png, png_infop info, const Order& order) {
  if (setjmp(png_jmpbuf(png))) return false;
  png_set_IHDR(png, info, order.width, order.height, 8,
               order.colour ? PNG_COLOR_TYPE_RGB : PNG_COLOR_TYPE_GRAY, PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  if (order.px_per_metre > 0)
    png_set_pHYs(png, info, order.px_per_metre, order.px_per_metre, PNG_RESOLUTION_METER);
  png_set_compression_level(png, order.compression);
  png_write_info(png, info);
  if (order.colour) png_set_bgr(png);
  for (unsigned y = 0; y < order.height; ++y) png_write_row(png, order.pixels + y * order.stride);
  png_write_end(png, info);
  return true;
}

Result<std::string> encoded(const Order& order) {
  std::string bytes;
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png ? png_create_info_struct(png) : nullptr;
  bool good = info != nullptr;
  if (good) {
    png_set_write_fn(png, &bytes, append, flush);
    good = encode(png, info, order);
  }
  png_destroy_write_struct(&png, &info);
  if (!good) return Failure{"png-not-written", "The PNG picture could not be made.", "Try a lower --dpi."};
  return bytes;
}

}  // namespace

Result<std::string> encode_png_grey(const unsigned char* pixels, int width, int height, double dpi) {
  return encoded({pixels, static_cast<unsigned>(width), static_cast<unsigned>(height),
                  static_cast<std::size_t>(width), false, static_cast<unsigned>(std::lround(dpi / 0.0254)),
                  6});
}

Result<std::string> encode_png_colour(const cv::Mat& pixels, int compression) {
  return encoded({pixels.data, static_cast<unsigned>(pixels.cols), static_cast<unsigned>(pixels.rows),
                  pixels.step[0], true, 0, compression});
}

}  // namespace tapersight
