#include "batch/settled.h"

#include <system_error>
#include <utility>

namespace tapersight {

std::optional<FileLook> look_at(const std::string& path) {
  std::error_code error;
  FileLook look;
  look.size = std::filesystem::file_size(path, error);
  if (error || look.size == 0) return std::nullopt;
  look.time = std::filesystem::last_write_time(path, error);
  return error ? std::nullopt : std::optional<FileLook>(look);
}

std::vector<PictureFile> SettledFiles::of(const std::vector<PictureFile>& pictures) {
  std::vector<PictureFile> settled;
  std::map<std::string, Seen> now;
  for (const PictureFile& picture : pictures) {
    const auto look = look_at(picture.path);
    if (!look) continue;
    const auto before = seen_.find(picture.path);
    const bool same = before != seen_.end() && before->second.look == *look;
    const int quiet = same ? before->second.quiet + 1 : 0;
    now[picture.path] = {*look, quiet};
    if (quiet >= kQuietCalls) settled.push_back(picture);
  }
  seen_ = std::move(now);
  return settled;
}

}  // namespace tapersight
