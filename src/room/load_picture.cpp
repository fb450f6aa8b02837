#include "room/load_picture.h"

#include "base/files.h"
#include "formats/checks.h"
#include "formats/read_picture.h"

namespace tapersight {
namespace {

Result<FilePicture> read_here(const std::string& path, const ReadOptions& options) {
  const Result<std::string> bytes = read_file(path, options.limits.most_file_bytes);
  if (!bytes) return bytes.failure();
  auto read = read_picture(*bytes, options);
  return read ? std::move(read) : named(read.failure(), path);
}

}  // namespace

Result<Picture> load_picture(const std::string& path, const ReadOptions& options, DecodingRoom* room) {
  auto read = room ? room->read(path, options) : read_here(path, options);
  if (!read) return read.failure();
  return picture_of(std::move(*read), path);
}

}  // namespace tapersight
