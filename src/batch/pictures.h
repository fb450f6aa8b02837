// The pictures of a batch: which files, and under which names theirs are kept.
#pragma once
#include <string>
#include <vector>

#include "base/result.h"

namespace tapersight {

struct PictureFile {
  std::string path;
  std::string
      name;  // the file's own name, or the whole path where two files share it; unique in a batch; UTF-8
};

// Files as named, and of each folder the files whose names end as pictures' do: .jpg, .png, .tif, .pdf,
// .heic, .webp, .bmp, .pgm and the like (not those of its sub-folders, nor hidden ones), by name. A file
// named twice counts once. Failures: "file-not-readable", "no-pictures".
Result<std::vector<PictureFile>> find_pictures(const std::vector<std::string>& files_or_folders);

// A name for a file in the output folder that stays there whatever `name` holds, and that any system can
// hold: control characters and / \ : * ? " < > | become _, and so does a point in front. When something was
// replaced, or the name is longer than 200 bytes, a hash of the whole stands before the ending.
std::string safe_file_name(const std::string& name);

}  // namespace tapersight
