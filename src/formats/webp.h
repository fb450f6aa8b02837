// WebP by libwebp, lossy and lossless; no animations.
#pragma once
#include "formats/format.h"

namespace tapersight {

bool is_webp(const std::string& bytes);
Result<FilePicture> read_webp(const std::string& bytes, const ReadOptions& options);

}  // namespace tapersight
