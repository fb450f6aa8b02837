// Waits for files that something else is still writing.
#pragma once
#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "batch/pictures.h"

namespace tapersight {

// What a file looks like from outside: while a scanner writes it, this changes.
struct FileLook {
  std::uintmax_t size = 0;
  std::filesystem::file_time_type time;
  bool operator==(const FileLook& other) const { return size == other.size && time == other.time; }
};
std::optional<FileLook> look_at(const std::string& path);  // nothing for a file that is empty or gone

// Of pictures seen again and again, those that are not being written any more.
class SettledFiles {
 public:
  // To be called at even intervals. A file has settled when two calls later it looks as it did.
  std::vector<PictureFile> of(const std::vector<PictureFile>& pictures);

 private:
  static constexpr int kQuietCalls = 2;
  struct Seen {
    FileLook look;
    int quiet = 0;
  };
  std::map<std::string, Seen> seen_;
};

}  // namespace tapersight
