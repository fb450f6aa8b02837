#include "imaging/png_file.h"

#include <png.h>

#include <cmath>

namespace tapersight {
namespace {

void append(png_structp png, png_bytep data, png_size_t length) {
  static_cast<std::string*>(png_get_io_ptr(png))->append(reinterpret_cast<const char*>(data), length);
}

void flush(png_structp /*png*/) {}

// setjmp needs a frame of its own without destructors.
bool encode(png_structp png, png_infop info, const unsigned char* pixels, unsigned width, unsigned height,
            unsigned px_per_metre) {
  if (setjmp(png_jmpbuf(png))) return false;
  png_set_IHDR(png, info, width, height, 8, PNG_COLOR_TYPE_GRAY, PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  png_set_pHYs(png, info, px_per_metre, px_per_metre, PNG_RESOLUTION_METER);
  png_set_compression_level(png, 6);
  png_write_info(png, info);
  for (unsigned y = 0; y < height; ++y) png_write_row(png, pixels + static_cast<std::size_t>(y) * width);
  png_write_end(png, info);
  return true;
}

}  // namespace

Result<std::string> encode_png_grey(const unsigned char* pixels, int width, int height, double dpi) {
  std::string bytes;
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png ? png_create_info_struct(png) : nullptr;
  bool good = info != nullptr;
  if (good) {
    png_set_write_fn(png, &bytes, append, flush);
    good = encode(png, info, pixels, static_cast<unsigned>(width), static_cast<unsigned>(height),
                  static_cast<unsigned>(std::lround(dpi / 0.0254)));
  }
  png_destroy_write_struct(&png, &info);
  if (!good) return Failure{"png-not-written", "The PNG picture could not be made.", "Try a lower --dpi."};
  return bytes;
}

}  // namespace tapersight
