// One picture of a class, from the file to its lines of the results.
#pragma once
#include <string>

#include "batch/pictures.h"
#include "classroom/picture_lines.h"
#include "room/decoding_room.h"

namespace tapersight {

inline constexpr const char* kOverlayFolder = "overlays";

// Measures every strip and writes the overlays into `out_folder`/overlays. The picture is decoded in `room`;
// null: in this process. What is wrong with the picture stands in its lines, also when memory runs out
// ("out-of-memory") or something goes wrong inside
// ("internal-error"): the other pictures are not to suffer. Failure "file-not-writable" of an overlay.
Result<PictureOutcome> measure_file(const PictureFile& file, const ClassSetup& setup, DecodingRoom* room,
                                    const std::string& out_folder);

}  // namespace tapersight
