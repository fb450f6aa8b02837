// Writes synthetic phone photos and their truth into a folder: random ones of both profiles, then every photo
// that must be refused (not with FIRST_SEED).
//   make_testphotos FOLDER [COUNT [FIRST_SEED]]
#include <filesystem>
#include <iostream>
#include <nlohmann/json.hpp>
#include <string>

#include "base/text.h"
#include "synth/render_photo.h"
#include "tools/write_testimage.h"

namespace {

using namespace tapersight;

bool write_photo(const std::filesystem::path& folder, const std::string& name, const std::string& expect,
                 const PhotoScene& scene) {
  const RenderedPhoto photo = render_photo(scene);
  return write_testimage(folder, name, {photo.jpeg.begin(), photo.jpeg.end()}, expect, expect,
                         truth_json(scene, photo.truth));
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2 || argc > 4) {
    std::cerr << "usage: make_testphotos FOLDER [COUNT [FIRST_SEED]]\n";
    return 2;
  }
  const std::filesystem::path folder = argv[1];
  const auto numbers = {parse_number(argc > 2 ? argv[2] : "8"), parse_number(argc > 3 ? argv[3] : "1")};
  for (const auto& number : numbers)
    if (!number || *number < 0 || *number > 1e9) {
      std::cerr << "COUNT and FIRST_SEED are whole numbers from 0 on.\n";
      return 2;
    }
  const int count = static_cast<int>(**numbers.begin());
  const auto first = static_cast<std::uint64_t>(**(numbers.begin() + 1));
  for (int i = 0; i < count; ++i)
    for (const SceneProfile profile : {SceneProfile::kSmooth, SceneProfile::kRough}) {
      const std::uint64_t seed = first + static_cast<std::uint64_t>(i);
      const std::string kind = profile == SceneProfile::kSmooth ? "smooth-" : "rough-";
      if (!write_photo(folder, "photo-" + kind + std::to_string(seed), "measured",
                       random_photo_scene(seed, profile)))
        return 1;
    }
  if (argc > 3) return 0;
  for (const RejectScene& reject : reject_photo_scenes())
    if (!write_photo(folder, reject.name, reason_name(reject.reason), reject.scene)) return 1;
  return 0;
}
