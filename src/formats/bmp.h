// BMP without compression, decoded by OpenCV.
#pragma once
#include "formats/format.h"

namespace tapersight {

bool is_bmp(const std::string& bytes);
Result<FilePicture> read_bmp(const std::string& bytes, const ReadOptions& options);

}  // namespace tapersight
