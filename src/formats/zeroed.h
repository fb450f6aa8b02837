// Data that a broken disk or a copy that broke off has filled with zeros. A decoder makes a picture of them
// all the same, so they are looked for where the format lets them be known.
#pragma once
#include <cstddef>
#include <string_view>

namespace tapersight {

// Whether `count` bytes or more in a row are zero.
bool has_zeros(std::string_view bytes, std::size_t count);

// Huffman codes (ITU-T T.81, annex C): zeros alone are the first symbol of each table, over and over. Where
// that says "nothing changes", as the tables of an even picture may, they can be data; else no picture has
// many of them.
bool jpeg_data_are_zeroed(std::string_view file);

// VP8 and VP8L: arithmetic and prefix codes of which a run as long would stand for more even picture than
// there can be.
bool webp_data_are_zeroed(std::string_view file);

// HEVC has never three zero bytes in a row within a unit (ITU-T H.265, 7.4.2: an emulation prevention byte
// stands between), so a run of them is damage for certain. Looks at the coded pictures that the file lists.
bool heic_data_are_zeroed(std::string_view file);

}  // namespace tapersight
