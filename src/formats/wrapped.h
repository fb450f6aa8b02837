// A PDF keeps a picture's data as TIFF and PNG do, without their headers: these put the headers back, so that
// their readers read it.
#pragma once
#include <cstdint>
#include <string>
#include <string_view>

namespace tapersight {

struct BarePicture {
  std::uint32_t width = 0, height = 0;
  int bits = 8;
  int samples = 1;           // 1 grey or palette, 3 red green blue, 4 CMYK
  std::string palette;       // red green blue of each colour, if there is one
  bool turned_over = false;  // grey: 0 is white
};

enum class Packing { kNone, kDeflate, kLzw, kFaxG3, kFaxG3TwoWay, kFaxG4 };

// `differences`: each sample is stored as the difference to the one before (TIFF's predictor 2).
std::string tiff_around(const BarePicture& picture, Packing packing, bool differences, std::string_view data);

// Deflated data with PNG's filter byte before each row.
std::string png_around(const BarePicture& picture, std::string_view data);

}  // namespace tapersight
