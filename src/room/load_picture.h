// A picture out of a file.
#pragma once
#include <string>

#include "base/result.h"
#include "imaging/picture.h"
#include "room/decoding_room.h"

namespace tapersight {

// Reads a file of any format of formats/. Failures: "file-not-readable" (not there, no permission, a folder),
// "not-a-picture", those of formats/format.h. With `room` the picture is decoded there; without it in this
// process, which is for files that are trusted.
Result<Picture> load_picture(const std::string& path, const ReadOptions& options = {},
                             DecodingRoom* room = nullptr);

}  // namespace tapersight
