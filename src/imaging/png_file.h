// Grey PNG with its resolution written in: what image viewers and printers need to show a sheet to scale.
#pragma once
#include <string>

#include "base/result.h"

namespace tapersight {

// 8-bit grey pixels, row by row without padding, as PNG bytes; dpi goes into the pHYs chunk.
Result<std::string> encode_png_grey(const unsigned char* pixels, int width, int height, double dpi);

}  // namespace tapersight
