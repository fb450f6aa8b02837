#include "imaging/file_resolution.h"

#include <png.h>
// libjpeg's header needs the standard types first.
#include <csetjmp>
#include <cstdio>
#include <cstring>
#include <sstream>

#include <jpeglib.h>
#include <tiffio.h>
#include <tiffio.hxx>

namespace tapersight {
namespace {

struct JpegErrors {
  jpeg_error_mgr base;
  std::jmp_buf escape;
};

void leave(j_common_ptr info) {
  std::longjmp(reinterpret_cast<JpegErrors*>(info->err)->escape, 1);
}
void keep_quiet(j_common_ptr /*info*/) {}

bool read_jpeg_density(const std::string& bytes, int* unit, int* x, int* y) {
  jpeg_decompress_struct info{};
  JpegErrors errors{};
  info.err = jpeg_std_error(&errors.base);
  errors.base.error_exit = leave;
  errors.base.output_message = keep_quiet;
  if (setjmp(errors.escape)) {
    jpeg_destroy_decompress(&info);
    return false;
  }
  jpeg_create_decompress(&info);
  jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
  jpeg_read_header(&info, TRUE);
  const bool stated = info.saw_JFIF_marker;
  *unit = info.density_unit;
  *x = info.X_density;
  *y = info.Y_density;
  jpeg_destroy_decompress(&info);
  return stated;
}

std::optional<FileResolution> jpeg_resolution(const std::string& bytes) {
  int unit = 0;
  int x = 0;
  int y = 0;
  if (!read_jpeg_density(bytes, &unit, &x, &y) || x <= 1 || y <= 1) return std::nullopt;
  if (unit == 1) return FileResolution{static_cast<double>(x), static_cast<double>(y)};
  if (unit == 2) return FileResolution{x * 2.54, y * 2.54};
  return std::nullopt;
}

struct ByteReader {
  const std::string* bytes;
  std::size_t position;
};

void read_bytes(png_structp png, png_bytep out, png_size_t length) {
  auto* reader = static_cast<ByteReader*>(png_get_io_ptr(png));
  if (reader->bytes->size() - reader->position < length) png_error(png, "short");
  std::memcpy(out, reader->bytes->data() + reader->position, length);
  reader->position += length;
}

void no_warning(png_structp /*png*/, png_const_charp /*text*/) {}

[[noreturn]] void no_message(png_structp png, png_const_charp /*text*/) {
  png_longjmp(png, 1);
}

bool read_png_phys(png_structp png, png_infop info, png_uint_32* x, png_uint_32* y, int* unit) {
  if (setjmp(png_jmpbuf(png))) return false;
  png_read_info(png, info);
  return png_get_pHYs(png, info, x, y, unit) != 0;
}

std::optional<FileResolution> png_resolution(const std::string& bytes) {
  png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, no_message, no_warning);
  png_infop info = png ? png_create_info_struct(png) : nullptr;
  std::optional<FileResolution> result;
  if (info) {
    ByteReader reader{&bytes, 0};
    png_set_read_fn(png, &reader, read_bytes);
    png_uint_32 x = 0;
    png_uint_32 y = 0;
    int unit = 0;
    if (read_png_phys(png, info, &x, &y, &unit) && unit == PNG_RESOLUTION_METER && x > 0 && y > 0)
      result = FileResolution{x * 0.0254, y * 0.0254};
  }
  png_destroy_read_struct(&png, &info, nullptr);
  return result;
}

std::optional<FileResolution> tiff_resolution(const std::string& bytes) {
  // The handlers are the library's only global settings; both are put back.
  const auto old_warning = TIFFSetWarningHandler(nullptr);
  const auto old_error = TIFFSetErrorHandler(nullptr);
  std::istringstream stream(bytes);
  std::optional<FileResolution> result;
  if (TIFF* tiff = TIFFStreamOpen("picture", &stream)) {
    float x = 0;
    float y = 0;
    std::uint16_t unit = RESUNIT_INCH;
    if (TIFFGetField(tiff, TIFFTAG_XRESOLUTION, &x) && TIFFGetField(tiff, TIFFTAG_YRESOLUTION, &y) && x > 0 &&
        y > 0) {
      TIFFGetFieldDefaulted(tiff, TIFFTAG_RESOLUTIONUNIT, &unit);
      const double per_inch = unit == RESUNIT_CENTIMETER ? 2.54 : 1;
      if (unit != RESUNIT_NONE)
        result = FileResolution{static_cast<double>(x) * per_inch, static_cast<double>(y) * per_inch};
    }
    TIFFClose(tiff);
  }
  TIFFSetWarningHandler(old_warning);
  TIFFSetErrorHandler(old_error);
  return result;
}

bool starts_with(const std::string& bytes, const std::string& magic) {
  return bytes.compare(0, magic.size(), magic) == 0;
}

}  // namespace

std::optional<FileResolution> file_resolution(const std::string& bytes) {
  if (starts_with(bytes, "\xff\xd8")) return jpeg_resolution(bytes);
  if (starts_with(bytes, "\x89PNG")) return png_resolution(bytes);
  if (starts_with(bytes, std::string("II*\0", 4)) || starts_with(bytes, std::string("MM\0*", 4)))
    return tiff_resolution(bytes);
  return std::nullopt;
}

}  // namespace tapersight
