// TIFF by libtiff: strips and tiles, every depth and compression that it turns into colours, several pages.
#pragma once
#include "formats/format.h"

namespace tapersight {

bool is_tiff(const std::string& bytes);

// Reduced copies that stand beside a page (thumbnails) do not count as pages.
Result<FilePicture> read_tiff(const std::string& bytes, const ReadOptions& options);

}  // namespace tapersight
