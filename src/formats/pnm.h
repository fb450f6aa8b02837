// PGM and PPM, as scanning programs write them unless told otherwise: 8 or 16 bits, not as text.
#pragma once
#include "formats/format.h"

namespace tapersight {

bool is_pnm(const std::string& bytes);
Result<FilePicture> read_pnm(const std::string& bytes, const ReadOptions& options);

}  // namespace tapersight
