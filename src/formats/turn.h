// Turning a picture upright.
#pragma once
#include "formats/format.h"

namespace tapersight {

// `orientation` as EXIF and TIFF number it, 1 to 8: which sides of the upright picture the first row and the
// first column are; anything else is taken for 1. Only a turn by a quarter takes a second picture's memory.
FilePicture turned_upright(FilePicture picture, int orientation);

}  // namespace tapersight
