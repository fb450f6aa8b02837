// The resolution that a picture file states about itself.
#pragma once
#include <optional>
#include <string>

namespace tapersight {

struct FileResolution {
  double dpi_u = 0, dpi_v = 0;  // pixels per inch
};

// From a JPEG's JFIF density, a PNG's pHYs chunk or a TIFF's resolution tags; nothing when the file states
// none.
std::optional<FileResolution> file_resolution(const std::string& bytes);

}  // namespace tapersight
