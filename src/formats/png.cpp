#include "formats/png.h"

#include <png.h>

#include <array>
#include <cstring>
#include <vector>

#include "formats/checks.h"
#include "formats/exif.h"
#include "formats/grey_row.h"
#include "formats/turn.h"

namespace tapersight {
namespace {

constexpr png_alloc_size_t kMostChunk = 4U << 20;

// Texts and profiles, which may be bombs and are of no use here, are passed over without unpacking them.
constexpr std::array<png_byte, 6 * 5> kPassedOver = {'t', 'E', 'X', 't', 0, 'z', 'T', 'X', 't', 0,
                                                     'i', 'T', 'X', 't', 0, 'i', 'C', 'C', 'P', 0,
                                                     's', 'P', 'L', 'T', 0, 'h', 'I', 'S', 'T', 0};

struct Source {
  const std::string* bytes;
  std::size_t at;
};

void take_bytes(png_structp png, png_bytep out, png_size_t length) {
  auto* source = static_cast<Source*>(png_get_io_ptr(png));
  if (source->bytes->size() - source->at < length) png_error(png, "short");
  std::memcpy(out, source->bytes->data() + source->at, length);
  source->at += length;
}

void no_warning(png_structp /*png*/, png_const_charp /*text*/) {}

[[noreturn]] void leave(png_structp png, png_const_charp /*text*/) {
  png_longjmp(png, 1);
}

struct Decoder {
  png_structp png = nullptr;
  png_infop info = nullptr;
  Decoder()
      : png(png_create_read_struct(PNG_LIBPNG_VER_STRING, nullptr, leave, no_warning)),
        info(png ? png_create_info_struct(png) : nullptr) {}
  Decoder(const Decoder&) = delete;
  Decoder& operator=(const Decoder&) = delete;
  ~Decoder() { png_destroy_read_struct(&png, &info, nullptr); }
};

// The functions with setjmp hold nothing that has a destructor.
bool header(Decoder& d, Source& source) {
  if (setjmp(png_jmpbuf(d.png))) return false;
  png_set_read_fn(d.png, &source, take_bytes);
  png_set_user_limits(d.png, 0x7fffffff, 0x7fffffff);
  png_set_chunk_malloc_max(d.png, kMostChunk);
  png_set_keep_unknown_chunks(d.png, PNG_HANDLE_CHUNK_NEVER, kPassedOver.data(), kPassedOver.size() / 5);
  png_read_info(d.png, d.info);
  return true;
}

// To 8 bits of grey or red, green, blue, each with or without alpha.
bool start(Decoder& d) {
  if (setjmp(png_jmpbuf(d.png))) return false;
  png_set_expand(d.png);
  png_set_scale_16(d.png);
  png_set_interlace_handling(d.png);
  png_read_update_info(d.png, d.info);
  return true;
}

bool read_rows(Decoder& d, png_bytep row, int samples, cv::Mat& grey) {
  if (setjmp(png_jmpbuf(d.png))) return false;
  for (int y = 0; y < grey.rows; ++y) {
    png_read_row(d.png, row, nullptr);
    grey_row(row, grey.cols, samples, grey.ptr(y));
  }
  png_read_end(d.png, nullptr);
  return true;
}

bool read_interlaced(Decoder& d, png_bytepp rows) {
  if (setjmp(png_jmpbuf(d.png))) return false;
  png_read_image(d.png, rows);
  png_read_end(d.png, nullptr);
  return true;
}

ExifNotes exif_of(Decoder& d) {
  png_uint_32 length = 0;
  png_bytep data = nullptr;
  if (png_get_eXIf_1(d.png, d.info, &length, &data) == 0 || !data) return {};
  return read_exif({reinterpret_cast<const char*>(data), length});
}

std::optional<Dpi> phys_dpi(Decoder& d) {
  png_uint_32 x = 0;
  png_uint_32 y = 0;
  int unit = 0;
  if (png_get_pHYs(d.png, d.info, &x, &y, &unit) == 0 || unit != PNG_RESOLUTION_METER || x == 0 || y == 0)
    return std::nullopt;
  return Dpi{x * 0.0254, y * 0.0254};
}

bool decode(Decoder& d, bool interlaced, cv::Mat& grey) {
  const int samples = png_get_channels(d.png, d.info);
  const std::size_t step = png_get_rowbytes(d.png, d.info);
  std::vector<unsigned char> codes(step * (interlaced ? static_cast<std::size_t>(grey.rows) : 1));
  if (!interlaced) return read_rows(d, codes.data(), samples, grey);
  std::vector<png_bytep> rows;
  for (int y = 0; y < grey.rows; ++y) rows.push_back(codes.data() + static_cast<std::size_t>(y) * step);
  if (!read_interlaced(d, rows.data())) return false;
  for (int y = 0; y < grey.rows; ++y)
    grey_row(rows[static_cast<std::size_t>(y)], grey.cols, samples, grey.ptr(y));
  return true;
}

}  // namespace

bool is_png(const std::string& bytes) {
  return bytes.compare(0, 8, "\x89PNG\r\n\x1a\n") == 0;
}

Result<FilePicture> read_png(const std::string& bytes, const ReadOptions& options) {
  if (auto failure = check_only_page(options)) return *failure;
  Decoder d;
  Source source{&bytes, 0};
  if (!d.info || !header(d, source)) return damaged_picture();
  const double width = png_get_image_width(d.png, d.info);
  const double height = png_get_image_height(d.png, d.info);
  const bool interlaced = png_get_interlace_type(d.png, d.info) != PNG_INTERLACE_NONE;
  const ExifNotes exif = exif_of(d);
  const double copies = 1 + (interlaced ? 4 : 0) + (exif.orientation >= 5 ? 1 : 0);
  if (auto failure = check_size(width, height, static_cast<double>(bytes.size()) + copies * width * height,
                                options.limits))
    return *failure;
  if (!start(d)) return damaged_picture();
  FilePicture picture;
  picture.grey = grey_picture(static_cast<int>(height), static_cast<int>(width), options);
  if (!decode(d, interlaced, picture.grey)) return damaged_picture();
  picture.dpi = phys_dpi(d);
  if (!picture.dpi) picture.dpi = exif.dpi;
  picture.by_camera = exif.exposed;
  return turned_upright(std::move(picture), exif.orientation);
}

}  // namespace tapersight
