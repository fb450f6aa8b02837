// Writes the pictures of testimages/ and their truth: make_testimages FOLDER
#include <filesystem>
#include <iostream>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

#include "synth/render_photo.h"
#include "synth/render_scan.h"
#include "synth/scan_file.h"
#include "tools/testimage_scenes.h"
#include "tools/write_testimage.h"

namespace {

using namespace tapersight;

bool write(const std::filesystem::path& folder, const std::string& name, const std::string& shows,
           const std::string& refusal, const std::vector<unsigned char>& jpeg, nlohmann::json truth) {
  truth["shows"] = shows;
  if (!refusal.empty()) truth["refusal"] = refusal;
  return write_testimage(folder, name, {jpeg.begin(), jpeg.end()}, refusal.empty() ? "measured" : "refused",
                         shows, std::move(truth));
}

bool write_image(const std::filesystem::path& top, const TestImage& image) {
  const RenderedScan scan = render_scan(image.scene);
  const auto jpeg = scan_file_bytes(".jpg", scan.image, image.scene.dpi, image.jpeg_quality);
  if (!jpeg) {
    std::cerr << jpeg.failure().text << ' ' << jpeg.failure().remedy << '\n';
    return false;
  }
  return write(top / image.folder, image.name, image.shows, image.refusal, *jpeg,
               truth_json(image.scene, scan.truth));
}

bool write_photo(const std::filesystem::path& top, const TestPhoto& image) {
  const RenderedPhoto photo = render_photo(image.scene);
  return write(top / "photos", image.name, image.shows, image.refusal, photo.jpeg,
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
