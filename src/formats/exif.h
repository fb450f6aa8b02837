// What a camera or a scanner notes in EXIF, in whatever format it is packed.
#pragma once
#include <optional>
#include <string_view>

#include "formats/format.h"

namespace tapersight {

struct ExifNotes {
  int orientation = 1;     // 1 to 8
  std::optional<Dpi> dpi;  // not turned; 72 is EXIF's word for "not known" and left out
  bool exposed = false;    // an exposure, aperture or focal length is noted: a camera's, no scanner has them
};

// `tiff`: the block from its byte order mark on ("II*" or "MM"). A damaged block says nothing.
ExifNotes read_exif(std::string_view tiff);

}  // namespace tapersight
