// Guards the HEIC library, which follows what a picture is made of without a bound.
#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace tapersight {

// Whether every picture in the file is made of at most some thousand others, not of itself, and not through
// more than a few steps. A file without such pictures is fine; so is one whose boxes are damaged, as far as
// they can be read.
bool heic_structure_is_sound(const std::string& bytes);

// The data of every picture that is coded by HEVC, piece by piece, where they lie in the file itself.
std::vector<std::string_view> coded_pictures(std::string_view file);

}  // namespace tapersight
