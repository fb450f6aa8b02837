// HEIC, as phones write it, by libheif.
#pragma once
#include "formats/format.h"

namespace tapersight {

bool is_heic(const std::string& bytes);

// The file's main picture.
Result<FilePicture> read_heic(const std::string& bytes, const ReadOptions& options);

}  // namespace tapersight
