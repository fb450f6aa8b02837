#include "formats/wrapped.h"

#include <tiff.h>
#include <zlib.h>

#include <vector>

namespace tapersight {
namespace {

void append(std::string& out, std::uint32_t value, int bytes) {  // little-endian
  for (int i = 0; i < bytes; ++i) out += static_cast<char>(value >> (8 * i));
}

void append_big_endian(std::string& out, std::uint32_t value) {
  for (int shift = 24; shift >= 0; shift -= 8) out += static_cast<char>(value >> shift);
}

// Tags of a TIFF directory, kept in ascending order; what is longer than four bytes stands before it.
class TiffDirectory {
 public:
  explicit TiffDirectory(std::string& file) : file_(file) {}

  void add(int tag, const std::vector<std::uint32_t>& values, bool shorts) {
    const int bytes = shorts ? 2 : 4;
    std::string packed;
    for (const std::uint32_t value : values) append(packed, value, bytes);
    append(entries_, static_cast<std::uint32_t>(tag), 2);
    append(entries_, shorts ? TIFF_SHORT : TIFF_LONG, 2);
    append(entries_, static_cast<std::uint32_t>(values.size()), 4);
    if (packed.size() > 4) {
      append(entries_, static_cast<std::uint32_t>(file_.size()), 4);
      file_ += packed;
    } else {
      packed.resize(4, '\0');
      entries_ += packed;
    }
    ++count_;
  }
  void add_short(int tag, std::uint32_t value) { add(tag, {value}, true); }

  void finish() {
    if (file_.size() % 2 == 1) file_ += '\0';
    std::string at;
    append(at, static_cast<std::uint32_t>(file_.size()), 4);
    file_.replace(4, 4, at);
    append(file_, count_, 2);
    file_ += entries_;
    append(file_, 0, 4);
  }

 private:
  std::string& file_;
  std::string entries_;
  std::uint32_t count_ = 0;
};

bool is_fax(Packing packing) {
  return packing == Packing::kFaxG3 || packing == Packing::kFaxG3TwoWay || packing == Packing::kFaxG4;
}

std::uint32_t compression_of(Packing packing) {
  switch (packing) {
    case Packing::kNone:
      return COMPRESSION_NONE;
    case Packing::kDeflate:
      return COMPRESSION_ADOBE_DEFLATE;
    case Packing::kLzw:
      return COMPRESSION_LZW;
    case Packing::kFaxG4:
      return COMPRESSION_CCITTFAX4;
    default:
      return COMPRESSION_CCITTFAX3;
  }
}

std::uint32_t photometric_of(const BarePicture& picture, Packing packing) {
  if (!picture.palette.empty()) return PHOTOMETRIC_PALETTE;
  if (picture.samples == 3) return PHOTOMETRIC_RGB;
  if (picture.samples == 4) return PHOTOMETRIC_SEPARATED;
  // Fax codes say white and black, not 0 and 1.
  return picture.turned_over != is_fax(packing) ? PHOTOMETRIC_MINISWHITE : PHOTOMETRIC_MINISBLACK;
}

std::vector<std::uint32_t> colour_map(const BarePicture& picture) {
  const std::size_t colours = std::size_t{1} << picture.bits;
  std::vector<std::uint32_t> map(3 * colours, 0);
  for (std::size_t i = 0; i < colours && 3 * i + 2 < picture.palette.size(); ++i)
    for (std::size_t c = 0; c < 3; ++c)
      map[c * colours + i] = 257U * static_cast<unsigned char>(picture.palette[3 * i + c]);
  return map;
}

void append_chunk(std::string& png, const std::string& body) {
  append_big_endian(png, static_cast<std::uint32_t>(body.size() - 4));
  png += body;
  append_big_endian(png, static_cast<std::uint32_t>(crc32(0, reinterpret_cast<const Bytef*>(body.data()),
                                                          static_cast<uInt>(body.size()))));
}

}  // namespace

std::string tiff_around(const BarePicture& picture, Packing packing, bool differences,
                        std::string_view data) {
  std::string file("II*\0\0\0\0\0", 8);
  file += data;
  if (file.size() % 2 == 1) file += '\0';
  TiffDirectory tags(file);
  tags.add(TIFFTAG_IMAGEWIDTH, {picture.width}, false);
  tags.add(TIFFTAG_IMAGELENGTH, {picture.height}, false);
  tags.add(TIFFTAG_BITSPERSAMPLE,
           std::vector<std::uint32_t>(static_cast<std::size_t>(picture.samples),
                                      static_cast<std::uint32_t>(picture.bits)),
           true);
  tags.add_short(TIFFTAG_COMPRESSION, compression_of(packing));
  tags.add_short(TIFFTAG_PHOTOMETRIC, photometric_of(picture, packing));
  tags.add(TIFFTAG_STRIPOFFSETS, {8}, false);
  tags.add_short(TIFFTAG_SAMPLESPERPIXEL, static_cast<std::uint32_t>(picture.samples));
  tags.add(TIFFTAG_ROWSPERSTRIP, {picture.height}, false);
  tags.add(TIFFTAG_STRIPBYTECOUNTS, {static_cast<std::uint32_t>(data.size())}, false);
  if (packing == Packing::kFaxG3TwoWay) tags.add(TIFFTAG_GROUP3OPTIONS, {GROUP3OPT_2DENCODING}, false);
  if (differences) tags.add_short(TIFFTAG_PREDICTOR, 2);
  if (!picture.palette.empty()) tags.add(TIFFTAG_COLORMAP, colour_map(picture), true);
  tags.finish();
  return file;
}

std::string png_around(const BarePicture& picture, std::string_view data) {
  std::string file = "\x89PNG\r\n\x1a\n";
  std::string head = "IHDR";
  append_big_endian(head, picture.width);
  append_big_endian(head, picture.height);
  head += static_cast<char>(picture.bits);
  head += static_cast<char>(!picture.palette.empty() ? 3 : picture.samples == 3 ? 2 : 0);
  head += std::string(3, '\0');
  append_chunk(file, head);
  if (!picture.palette.empty()) append_chunk(file, "PLTE" + picture.palette);
  append_chunk(file, "IDAT" + std::string(data));
  append_chunk(file, "IEND");
  return file;
}

}  // namespace tapersight
