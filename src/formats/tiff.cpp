#include "formats/tiff.h"

#include <tiffio.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <iterator>
#include <memory>
#include <vector>

#include "formats/checks.h"
#include "formats/grey_row.h"
#include "formats/inflate.h"
#include "formats/turn.h"

namespace tapersight {
namespace {

constexpr int kMostPages = 1000;
constexpr double kMostPieces = 100e3;  // a page of 60 000 rows, each a strip of its own, has fewer

// The bytes as libtiff reads a file.
struct TiffBytes {
  const std::string* bytes;
  std::uint64_t at;
};

tmsize_t take(thandle_t handle, void* out, tmsize_t wanted) {
  auto& source = *static_cast<TiffBytes*>(handle);
  const std::uint64_t left = source.at < source.bytes->size() ? source.bytes->size() - source.at : 0;
  const std::uint64_t n = std::min(left, static_cast<std::uint64_t>(std::max<tmsize_t>(wanted, 0)));
  if (n > 0) std::memcpy(out, source.bytes->data() + source.at, n);
  source.at += n;
  return static_cast<tmsize_t>(n);
}
tmsize_t no_writing(thandle_t /*handle*/, void* /*bytes*/, tmsize_t /*n*/) {
  return 0;
}
toff_t go_to(thandle_t handle, toff_t offset, int from) {
  auto& source = *static_cast<TiffBytes*>(handle);
  source.at = offset + (from == SEEK_CUR ? source.at : from == SEEK_END ? source.bytes->size() : 0);
  return source.at;
}
int no_closing(thandle_t /*handle*/) {
  return 0;
}
toff_t size_of(thandle_t handle) {
  return static_cast<TiffBytes*>(handle)->bytes->size();
}
int map_file(thandle_t handle, void** base, toff_t* size) {
  const auto& source = *static_cast<TiffBytes*>(handle);
  *base = const_cast<char*>(source.bytes->data());  // libtiff only reads it
  *size = source.bytes->size();
  return 1;
}
void unmap_file(thandle_t /*handle*/, void* /*base*/, toff_t /*size*/) {}
int keep_quiet(TIFF* /*tiff*/, void* /*user*/, const char* /*module*/, const char* /*text*/,
               va_list /*values*/) {
  return 1;
}
// Decoders go on where the data are damaged, and only say so.
int note_complaint(TIFF* /*tiff*/, void* complained, const char* /*module*/, const char* /*text*/,
                   va_list /*values*/) {
  *static_cast<bool*>(complained) = true;
  return 1;
}

using Tiff = std::unique_ptr<TIFF, void (*)(TIFF*)>;

Tiff open_tiff(TiffBytes& source, const ReadLimits& limits, bool& complained) {
  const std::unique_ptr<TIFFOpenOptions, void (*)(TIFFOpenOptions*)> options(TIFFOpenOptionsAlloc(),
                                                                             TIFFOpenOptionsFree);
  TIFFOpenOptionsSetMaxSingleMemAlloc(options.get(), static_cast<tmsize_t>(limits.most_memory_bytes));
  TIFFOpenOptionsSetErrorHandlerExtR(options.get(), keep_quiet, nullptr);
  TIFFOpenOptionsSetWarningHandlerExtR(options.get(), note_complaint, &complained);
  return {TIFFClientOpenExt("picture", "r", &source, take, no_writing, go_to, no_closing, size_of, map_file,
                            unmap_file, options.get()),
          TIFFClose};
}

// Where the directories of whole pages stand; none when their chain breaks off: then the file does, too.
std::vector<std::uint64_t> pages_of(TIFF* tiff) {
  std::vector<std::uint64_t> pages;
  int directories = 0;
  bool last = false;
  do {
    std::uint32_t kind = 0;
    TIFFGetFieldDefaulted(tiff, TIFFTAG_SUBFILETYPE, &kind);
    if ((kind & (FILETYPE_REDUCEDIMAGE | FILETYPE_MASK)) == 0) pages.push_back(TIFFCurrentDirOffset(tiff));
    last = TIFFLastDirectory(tiff) != 0 || ++directories >= kMostPages;
  } while (!last && TIFFReadDirectory(tiff));
  return last ? pages : std::vector<std::uint64_t>();
}

std::optional<Dpi> dpi_of(TIFF* tiff) {
  float x = 0;
  float y = 0;
  std::uint16_t unit = RESUNIT_INCH;
  if (!TIFFGetField(tiff, TIFFTAG_XRESOLUTION, &x) || !TIFFGetField(tiff, TIFFTAG_YRESOLUTION, &y) ||
      !(x > 0) || !(y > 0))
    return std::nullopt;
  TIFFGetFieldDefaulted(tiff, TIFFTAG_RESOLUTIONUNIT, &unit);
  if (unit == RESUNIT_NONE) return std::nullopt;
  const double per_inch = unit == RESUNIT_CENTIMETER ? 2.54 : 1;
  return Dpi{static_cast<double>(x) * per_inch, static_cast<double>(y) * per_inch};
}

// How the page is cut into pieces that are decoded one at a time.
struct Pieces {
  std::uint32_t width = 0, height = 0;
  bool tiles = false;
};

Pieces pieces_of(TIFF* tiff, std::uint32_t width, std::uint32_t height) {
  Pieces pieces{width, height, TIFFIsTiled(tiff) != 0};
  if (pieces.tiles) {
    TIFFGetField(tiff, TIFFTAG_TILEWIDTH, &pieces.width);
    TIFFGetField(tiff, TIFFTAG_TILELENGTH, &pieces.height);
  } else {
    TIFFGetFieldDefaulted(tiff, TIFFTAG_ROWSPERSTRIP, &pieces.height);
    pieces.height = std::min(pieces.height, height);
  }
  return pieces;
}

// A row of libtiff's colours, which are multiplied by their alpha already.
void grey_of_packed(const std::uint32_t* packed, int pixels, unsigned char* grey) {
  for (int x = 0; x < pixels; ++x) {
    const unsigned paper = 255 - TIFFGetA(packed[x]);
    const auto on_paper = [paper](unsigned code) { return std::min(255U, code + paper); };
    grey[x] = grey_of_rgb(on_paper(TIFFGetR(packed[x])), on_paper(TIFFGetG(packed[x])),
                          on_paper(TIFFGetB(packed[x])));
  }
}

bool decode(TIFF* tiff, const Pieces& pieces, cv::Mat& grey) {
  std::vector<std::uint32_t> packed(std::size_t{pieces.width} * pieces.height);
  const auto columns = static_cast<std::uint32_t>(grey.cols);
  const auto rows = static_cast<std::uint32_t>(grey.rows);
  for (std::uint32_t v = 0; v < rows; v += pieces.height)
    for (std::uint32_t u = 0; u < columns; u += pieces.width) {
      const bool whole = pieces.tiles ? TIFFReadRGBATileExt(tiff, u, v, packed.data(), 1) != 0
                                      : TIFFReadRGBAStripExt(tiff, v, packed.data(), 1) != 0;
      if (!whole) return false;
      // Both give the piece's last row first; a tile always as a whole one.
      const std::uint32_t used = std::min(pieces.height, rows - v);
      const std::uint32_t stored = pieces.tiles ? pieces.height : used;
      for (std::uint32_t i = 0; i < used; ++i)
        grey_of_packed(packed.data() + std::size_t{stored - 1 - i} * pieces.width,
                       static_cast<int>(std::min(pieces.width, columns - u)),
                       grey.ptr(static_cast<int>(v + i)) + u);
    }
  return true;
}

// Whether each piece's data are what was packed, by their own sum, which the library leaves unread: it stops
// where the piece is full. Some write more than that; far more is none of a picture's.
bool sums_are_right(TIFF* tiff, std::string_view file) {
  constexpr std::size_t kMostBehind = 64U << 20;
  const bool tiles = TIFFIsTiled(tiff) != 0;
  const std::uint32_t count = tiles ? TIFFNumberOfTiles(tiff) : TIFFNumberOfStrips(tiff);
  const tmsize_t each = tiles ? TIFFTileSize(tiff) : TIFFStripSize(tiff);
  std::size_t left = static_cast<std::size_t>(std::max<tmsize_t>(0, each)) * count + kMostBehind;
  for (std::uint32_t i = 0; i < count; ++i) {
    const std::uint64_t from = TIFFGetStrileOffset(tiff, i), bytes = TIFFGetStrileByteCount(tiff, i);
    const auto size = from > file.size() ? std::nullopt : inflated_size(file.substr(from, bytes), left);
    if (!size) return false;
    left -= *size;
  }
  return true;
}

// Compressions and colours that scanners and programs for pictures write. The library knows more, some of
// them made for other things: their decoders are little used, and one ends the program where it finds a
// fault.
bool is_usual(TIFF* tiff) {
  std::uint16_t compression = COMPRESSION_NONE;
  std::uint16_t colours = 0;
  TIFFGetFieldDefaulted(tiff, TIFFTAG_COMPRESSION, &compression);
  if (!TIFFGetField(tiff, TIFFTAG_PHOTOMETRIC, &colours)) return false;
  constexpr std::uint16_t kCompressions[] = {
      COMPRESSION_NONE,      COMPRESSION_CCITTRLE,      COMPRESSION_CCITTRLEW, COMPRESSION_CCITTFAX3,
      COMPRESSION_CCITTFAX4, COMPRESSION_LZW,           COMPRESSION_OJPEG,     COMPRESSION_JPEG,
      COMPRESSION_PACKBITS,  COMPRESSION_ADOBE_DEFLATE, COMPRESSION_DEFLATE};
  constexpr std::uint16_t kColours[] = {PHOTOMETRIC_MINISWHITE, PHOTOMETRIC_MINISBLACK, PHOTOMETRIC_RGB,
                                        PHOTOMETRIC_PALETTE,    PHOTOMETRIC_SEPARATED,  PHOTOMETRIC_YCBCR};
  const auto among = [](const auto& list, std::uint16_t one) {
    return std::find(std::begin(list), std::end(list), one) != std::end(list);
  };
  return among(kCompressions, compression) && among(kColours, colours);
}

Result<FilePicture> read_page(TIFF* tiff, const std::string& bytes, bool& complained,
                              const ReadOptions& options) {
  const auto file_bytes = static_cast<double>(bytes.size());
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  TIFFGetField(tiff, TIFFTAG_IMAGEWIDTH, &width);
  TIFFGetField(tiff, TIFFTAG_IMAGELENGTH, &height);
  std::uint16_t orientation = 1;
  TIFFGetFieldDefaulted(tiff, TIFFTAG_ORIENTATION, &orientation);
  const Pieces pieces = pieces_of(tiff, width, height);
  if (pieces.width == 0 || pieces.height == 0) return damaged_picture();
  const double count =
      std::ceil(double{1} * width / pieces.width) * std::ceil(double{1} * height / pieces.height);
  if (!is_usual(tiff) || count > kMostPieces) return unsupported_picture("is a rare kind of TIFF");
  // A piece as colours and as the compression leaves it, of up to eight bytes a pixel.
  const double piece_bytes = 12.0 * pieces.width * pieces.height;
  if (auto failure = check_size(width, height,
                                file_bytes + (orientation >= 5 ? 2.0 : 1.0) * width * height + piece_bytes,
                                options.limits))
    return *failure;
  char why[1024] = "";
  if (!TIFFRGBAImageOK(tiff, why)) return unsupported_picture("is a rare kind of TIFF");
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, ORIENTATION_TOPLEFT);  // turned below, for all formats alike
  FilePicture picture;
  picture.grey = grey_picture(static_cast<int>(height), static_cast<int>(width), options);
  complained = false;
  if (!decode(tiff, pieces, picture.grey) || complained) return damaged_picture();
  std::uint16_t compression = COMPRESSION_NONE;
  TIFFGetFieldDefaulted(tiff, TIFFTAG_COMPRESSION, &compression);
  if ((compression == COMPRESSION_ADOBE_DEFLATE || compression == COMPRESSION_DEFLATE) &&
      !sums_are_right(tiff, bytes))
    return damaged_picture();
  picture.dpi = dpi_of(tiff);
  return turned_upright(std::move(picture), orientation);
}

}  // namespace

bool is_tiff(const std::string& bytes) {
  const std::string mark = bytes.substr(0, 4);
  return mark == std::string("II*\0", 4) || mark == std::string("MM\0*", 4) ||
         mark == std::string("II+\0", 4) || mark == std::string("MM\0+", 4);
}

Result<FilePicture> read_tiff(const std::string& bytes, const ReadOptions& options) {
  TiffBytes source{&bytes, 0};
  bool complained = false;
  const Tiff tiff = open_tiff(source, options.limits, complained);
  if (!tiff) return damaged_picture();
  const std::vector<std::uint64_t> pages = pages_of(tiff.get());
  const auto page = page_to_read(options.page, static_cast<int>(pages.size()));
  if (!page) return page.failure();
  if (!TIFFSetSubDirectory(tiff.get(), pages[static_cast<std::size_t>(*page)])) return damaged_picture();
  return read_page(tiff.get(), bytes, complained, options);
}

}  // namespace tapersight
