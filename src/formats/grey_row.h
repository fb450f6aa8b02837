// Colour to grey, a row of pixels at a time (the rule stands in format.h).
#pragma once
#include <cstdint>

namespace tapersight {

// Integer arithmetic of 16 bits, as libjpeg does it, so that all formats agree to the code value.
inline std::uint8_t grey_of_rgb(unsigned red, unsigned green, unsigned blue) {
  return static_cast<std::uint8_t>((19595 * red + 38470 * green + 7471 * blue + 32768) >> 16);
}

inline std::uint8_t over_white(unsigned code, unsigned alpha) {
  return static_cast<std::uint8_t>((code * alpha + 255 * (255 - alpha) + 127) / 255);
}

// `light`: 255 is no ink.
inline std::uint8_t grey_of_cmyk_light(unsigned cyan, unsigned magenta, unsigned yellow, unsigned black) {
  const auto with_black = [black](unsigned code) { return (code * black + 127) / 255; };
  return grey_of_rgb(with_black(cyan), with_black(magenta), with_black(yellow));
}

// `samples` a pixel: 1 grey, 2 grey and alpha, 3 red green blue, 4 red green blue alpha. `row` and `grey` may
// be the same.
inline void grey_row(const std::uint8_t* row, int pixels, int samples, std::uint8_t* grey) {
  for (int x = 0; x < pixels; ++x, row += samples) {
    const std::uint8_t code = samples < 3 ? row[0] : grey_of_rgb(row[0], row[1], row[2]);
    grey[x] = samples % 2 == 1 ? code : over_white(code, row[samples - 1]);
  }
}

}  // namespace tapersight
