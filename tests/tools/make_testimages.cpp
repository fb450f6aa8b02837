// Writes the pictures of testimages/ and their truth: make_testimages FOLDER
#include <filesystem>
#include <iostream>
#include <nlohmann/json.hpp>
#include <string>

#include "base/files.h"
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

bool write_image(const std::filesystem::path& top, const TestImage& image) {
  const std::filesystem::path folder = top / image.folder;
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  const RenderedScan scan = render_scan(image.scene);
  const std::string file = image.name + ".jpg";
  const auto size = write_scan((folder / file).string(), scan.image, image.scene.dpi, image.jpeg_quality);
  if (!told(size)) return false;
  nlohmann::json truth = truth_json(image.scene, scan.truth);
  truth["file"] = file;
  truth["shows"] = image.shows;
  truth["expect"] = image.refusal.empty() ? "measured" : "refused";
  if (!image.refusal.empty()) truth["refusal"] = image.refusal;
  if (!told(write_file_whole((folder / (image.name + ".truth.json")).string(), truth.dump(2) + "\n")))
    return false;
  std::cout << image.folder << '/' << file << "  " << *size / 1024 << " KiB  " << image.shows << '\n';
  return true;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: make_testimages FOLDER\n";
    return 2;
  }
  for (const TestImage& image : all_testimages())
    if (!write_image(argv[1], image)) return 1;
  return 0;
}
