#include "batch/pictures.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>
#include <system_error>

#include "base/content_hash.h"
#include "base/text.h"

namespace tapersight {
namespace {

namespace fs = std::filesystem;

bool looks_like_a_picture(const fs::path& path) {
  const std::string ending = lower_case(path.extension().string());
  for (const char* known :
       {".jpg", ".jpeg", ".png", ".tif", ".tiff", ".pdf", ".heic", ".heif", ".webp", ".bmp", ".pgm", ".ppm"})
    if (ending == known) return true;
  return false;
}

std::optional<Failure> add_folder(const std::string& folder, std::vector<std::string>& paths) {
  std::error_code error;
  fs::directory_iterator entry(folder, error);
  for (; !error && entry != fs::directory_iterator(); entry.increment(error)) {
    const fs::path& path = entry->path();
    if (path.filename().string().front() == '.' || !looks_like_a_picture(path)) continue;
    std::error_code ignored;
    if (!fs::is_directory(path, ignored)) paths.push_back(path.string());
  }
  if (!error) return std::nullopt;
  return Failure{"file-not-readable", "Cannot read the folder \"" + folder + "\": " + error.message() + ".",
                 "Check the folder's name and its permissions."};
}

}  // namespace

Result<std::vector<PictureFile>> find_pictures(const std::vector<std::string>& files_or_folders) {
  std::vector<std::string> paths;
  for (const std::string& name : files_or_folders) {
    std::error_code error;
    if (fs::is_directory(name, error)) {
      if (auto failure = add_folder(name, paths)) return *failure;
    } else if (fs::exists(name, error)) {
      paths.push_back(name);
    } else {
      return Failure{"file-not-readable", "There is no file or folder \"" + name + "\".", "Check the name."};
    }
  }
  std::map<std::string, std::set<std::string>> paths_of;  // by the file's own name
  for (const std::string& path : paths)
    paths_of[valid_utf8(fs::path(path).filename().string())].insert(
        fs::path(path).lexically_normal().string());
  std::vector<PictureFile> pictures;
  for (const auto& [name, same] : paths_of)
    for (const std::string& path : same)
      pictures.push_back({path, same.size() == 1 ? name : valid_utf8(path)});
  std::sort(pictures.begin(), pictures.end(),
            [](const PictureFile& a, const PictureFile& b) { return a.name < b.name; });
  if (pictures.empty())
    return Failure{"no-pictures", "There are no pictures to measure.",
                   "Name a folder that holds scans (.jpg, .png, .tif, .pdf ...), or the scans themselves."};
  return pictures;
}

std::string safe_file_name(const std::string& name) {
  constexpr std::string_view kForbidden = "/\\:*?\"<>|";  // by some system that a folder may be copied to
  constexpr std::size_t kLongest = 200;                   // a file system's 255, less what is put around it
  std::string safe = valid_utf8(name);
  for (char& c : safe) {
    const auto code = static_cast<unsigned char>(c);
    if (code < 0x20 || code == 0x7f || kForbidden.find(c) != std::string_view::npos) c = '_';
  }
  if (!safe.empty() && safe.front() == '.') safe.front() = '_';
  if (safe == name && !safe.empty() && safe.size() <= kLongest) return safe;
  const std::string hash = "-" + content_hash(name).substr(0, 8);
  const std::size_t dot = safe.rfind('.');
  const bool has_ending = dot != std::string::npos && safe.size() - dot <= 10;
  const std::string ending = has_ending ? safe.substr(dot) : std::string();
  std::string stem = safe.substr(0, safe.size() - ending.size());
  std::size_t length = std::min(stem.size(), kLongest - hash.size() - ending.size());
  while (length < stem.size() && length > 0 && (static_cast<unsigned char>(stem[length]) & 0xc0) == 0x80)
    --length;  // not within a character
  stem.resize(length);
  return (stem.empty() ? "_" : stem) + hash + ending;
}

}  // namespace tapersight
