// The formats' one door.
#pragma once
#include "formats/format.h"

namespace tapersight {

// By what the bytes are, not by the file's name. Failures: those of format.h, "not-a-picture".
Result<FilePicture> read_picture(const std::string& bytes, const ReadOptions& options = {});

}  // namespace tapersight
