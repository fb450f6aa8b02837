// Writes the pictures of testimages/ and their truth: make_testimages FOLDER
#include <filesystem>
#include <iostream>
#include <nlohmann/json.hpp>
#include <string>

#include "base/files.h"
#include "synth/render_photo.h"
#include "synth/render_scan.h"
#include "synth/scan_file.h"
#include "tools/testimage_scenes.h"

namespace {

using namespace tapersight;

template <typename T>
bool told(const Result<T>& result) {
  if (!result) std::cerr << result.failure().text << ' ' << result.failure().remedy << '\n';
  return result.ok();
}

// The picture's bytes are `size` long and already in the folder.
bool write_truth(const std::filesystem::path& folder, const std::string& name, const std::string& shows,
                 const std::string& refusal, std::uintmax_t size, nlohmann::json truth) {
  truth["file"] = name + ".jpg";
  truth["shows"] = shows;
  truth["expect"] = refusal.empty() ? "measured" : "refused";
  if (!refusal.empty()) truth["refusal"] = refusal;
  if (!told(write_file_whole((folder / (name + ".truth.json")).string(), truth.dump(2) + "\n"))) return false;
  std::cout << folder.filename().string() << '/' << name << ".jpg  " << size / 1024 << " KiB  " << shows
            << '\n';
  return true;
}

std::filesystem::path folder_in(const std::filesystem::path& top, const std::string& name) {
  std::error_code error;
  std::filesystem::create_directories(top / name, error);
  return top / name;
}

bool write_image(const std::filesystem::path& top, const TestImage& image) {
  const std::filesystem::path folder = folder_in(top, image.folder);
  const RenderedScan scan = render_scan(image.scene);
  const std::string file = (folder / (image.name + ".jpg")).string();
  const auto size = write_scan(file, scan.image, image.scene.dpi, image.jpeg_quality);
  return told(size) && write_truth(folder, image.name, image.shows, image.refusal, *size,
                                   truth_json(image.scene, scan.truth));
}

bool write_photo(const std::filesystem::path& top, const TestPhoto& image) {
  const std::filesystem::path folder = folder_in(top, "photos");
  const RenderedPhoto photo = render_photo(image.scene);
  const std::string bytes(photo.jpeg.begin(), photo.jpeg.end());
  return told(write_file_whole((folder / (image.name + ".jpg")).string(), bytes)) &&
         write_truth(folder, image.name, image.shows, image.refusal, bytes.size(),
                     truth_json(image.scene, photo.truth));
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: make_testimages FOLDER\n";
    return 2;
  }
  for (const TestImage& image : all_testimages())
    if (!write_image(argv[1], image)) return 1;
  for (const TestPhoto& photo : all_testphotos())
    if (!write_photo(argv[1], photo)) return 1;
  return 0;
}
