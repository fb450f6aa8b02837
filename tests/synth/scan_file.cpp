#include "synth/scan_file.h"

#include <zlib.h>

#include <cmath>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <opencv2/imgcodecs.hpp>

#include "base/text.h"

namespace tapersight {
namespace {

using Bytes = std::vector<unsigned char>;

Failure not_encoded(const std::string& kind) {
  return {"picture-not-encoded", "The picture could not be written as a " + kind + " file.",
          "Use a name that ends in .jpg or .png."};
}

void append_big_endian(std::uint32_t value, Bytes& out) {
  for (int shift = 24; shift >= 0; shift -= 8) out.push_back(static_cast<unsigned char>(value >> shift));
}

// JFIF 1.02: SOI, APP0 marker, length, "JFIF\0", version, then units (1 = per inch), X and Y density.
bool set_jfif_density(int dpi, Bytes& bytes) {
  if (bytes.size() < 18 || std::memcmp(bytes.data() + 6, "JFIF", 5) != 0) return false;
  const auto high = static_cast<unsigned char>(dpi >> 8);
  const auto low = static_cast<unsigned char>(dpi & 0xff);
  const unsigned char density[] = {1, high, low, high, low};
  std::memcpy(bytes.data() + 13, density, sizeof density);
  return true;
}

// PNG (ISO/IEC 15948), 11.3.5.3: pHYs stands before IDAT; put behind IHDR, which ends at byte 33.
bool insert_phys(int dpi, Bytes& bytes) {
  if (bytes.size() < 33 || std::memcmp(bytes.data() + 12, "IHDR", 4) != 0) return false;
  const auto per_metre = static_cast<std::uint32_t>(std::lround(dpi / 0.0254));
  Bytes body = {'p', 'H', 'Y', 's'};
  append_big_endian(per_metre, body);
  append_big_endian(per_metre, body);
  body.push_back(1);  // the unit is the metre
  Bytes chunk;
  append_big_endian(9, chunk);
  chunk.insert(chunk.end(), body.begin(), body.end());
  append_big_endian(static_cast<std::uint32_t>(crc32(0, body.data(), static_cast<uInt>(body.size()))), chunk);
  bytes.insert(bytes.begin() + 33, chunk.begin(), chunk.end());
  return true;
}

}  // namespace

Result<Bytes> scan_file_bytes(const std::string& kind, const cv::Mat& image, int dpi, int jpeg_quality) {
  const bool jpeg = kind == ".jpg" || kind == ".jpeg";
  if (image.empty() || (!jpeg && kind != ".png")) return not_encoded(kind);
  Bytes bytes;
  const std::vector<int> options = jpeg ? std::vector<int>{cv::IMWRITE_JPEG_QUALITY, jpeg_quality}
                                        : std::vector<int>{cv::IMWRITE_PNG_COMPRESSION, 6};
  if (!cv::imencode(kind, image, bytes, options)) return not_encoded(kind);
  if (dpi > 0 && !(jpeg ? set_jfif_density(dpi, bytes) : insert_phys(dpi, bytes))) return not_encoded(kind);
  return bytes;
}

Result<std::size_t> write_scan(const std::string& path, const cv::Mat& image, int dpi, int jpeg_quality) {
  const std::string kind = lower_case(std::filesystem::path(path).extension().string());
  const auto bytes = scan_file_bytes(kind, image, dpi, jpeg_quality);
  if (!bytes) return bytes.failure();
  std::ofstream file(path, std::ios::binary);
  file.write(reinterpret_cast<const char*>(bytes->data()), static_cast<std::streamsize>(bytes->size()));
  file.close();
  if (!file)
    return Failure{"file-not-written", "The file " + path + " could not be written.",
                   "Check that the folder exists and that there is room on the disk."};
  return bytes->size();
}

}  // namespace tapersight
