// PNG by libpng: every bit depth, palette, alpha, interlaced.
#pragma once
#include "formats/format.h"

namespace tapersight {

bool is_png(const std::string& bytes);
Result<FilePicture> read_png(const std::string& bytes, const ReadOptions& options);

}  // namespace tapersight
