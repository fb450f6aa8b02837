// A picture that somebody else has decoded: a browser, of a format that is not read here.
#pragma once
#include <cstdint>

#include "formats/format.h"

namespace tapersight {

// `pixels`: height rows of width times red, green, blue, alpha, 0..255, alpha not multiplied in; upright.
// Nothing is known of its dpi or exposure. Failure: "picture-too-large", "picture-damaged" (no pixels).
Result<FilePicture> read_rgba(const std::uint8_t* pixels, int width, int height, const ReadOptions& options);

}  // namespace tapersight
