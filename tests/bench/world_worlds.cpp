#include "bench/world_worlds.h"

#include <iterator>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "base/rng.h"
#include "bench/ambiguous_scenes.h"
#include "bench/world_scenes.h"
#include "formats/read_picture.h"
#include "synth/lens_models.h"
#include "synth/render_photo.h"
#include "synth/render_scan.h"
#include "synth/roughness.h"
#include "synth/sensor_noise.h"
#include "synth/widened_scene.h"
#include "synth/wood_photos.h"

namespace tapersight::testing {
namespace {

// One picture of a generated world.
struct Draw {
  std::uint64_t seed = 0;
  SceneProfile profile = SceneProfile::kSmooth;
  std::optional<Spoil> spoilt;
};

std::string name_of(const Draw& draw) {
  const std::string edges = draw.profile == SceneProfile::kRough ? "rough" : "smooth";
  return (draw.spoilt ? spoil_name(*draw.spoilt) : edges) + "-" + std::to_string(draw.seed);
}

// Seeds from all of 63 bits: a seed that a test or a constant was ever chosen on does not come up.
std::vector<Draw> drawn(const std::string& world, std::uint64_t seed, int count) {
  Rng rng(stream_seed(seed, world));
  std::vector<Draw> draws;
  const auto add = [&](std::optional<Spoil> spoilt) {
    const auto profile = draws.size() % 2 == 0 ? SceneProfile::kSmooth : SceneProfile::kRough;
    draws.push_back({rng.next() >> 1U, profile, spoilt});
  };
  for (int i = 0; i < count; ++i) add(std::nullopt);
  for (int i = 0; i < (count + 3) / 4; ++i) add(kSpoils[i % 3]);
  return draws;
}

template <typename Scene>
WorldPicture truth_of(const Draw& draw, const Scene& scene) {
  WorldPicture picture;
  picture.layout = &layout_of(scene);
  picture.print_scale_x = scene.print_scale_x;
  picture.print_scale_y = scene.print_scale_y;
  picture.truth.good = !draw.spoilt;
  picture.truth.rough = draw.profile == SceneProfile::kRough;
  if (draw.spoilt) picture.truth.refusal = spoil_name(*draw.spoilt);
  if (!scene.strips.empty()) {
    picture.truth.taper = scene.strips.front().taper;
    picture.truth.contrast = contrast_of(scene);
  }
  return picture;
}

template <typename Strips>
void take_drawn(const Strips& strips, WorldPicture& picture) {
  if (!strips.empty()) picture.truth.taper_as_drawn = strips.front().taper_as_drawn;
}

Result<WorldPicture> made(const Draw& draw, ScanScene scene) {
  if (draw.spoilt) spoil(*draw.spoilt, scene);
  WorldPicture picture = truth_of(draw, scene);
  const RenderedScan scan = render_scan(scene);
  take_drawn(scan.truth.strips, picture);
  picture.grey = scan.image;
  if (scan.image.channels() == 3) cv::cvtColor(scan.image, picture.grey, cv::COLOR_BGR2GRAY);
  picture.dpi_u = picture.dpi_v = scene.dpi;
  return picture;
}

Result<WorldPicture> made(const Draw& draw, PhotoScene scene) {
  if (draw.spoilt) spoil(*draw.spoilt, scene);
  WorldPicture picture = truth_of(draw, scene);
  const RenderedPhoto photo = render_photo(scene);
  take_drawn(photo.truth.strips, picture);
  const auto read = read_picture(std::string(photo.jpeg.begin(), photo.jpeg.end()));
  if (!read) return read.failure();
  picture.grey = read->grey;
  picture.by_camera = read->by_camera;
  return picture;
}

template <typename Maker>
std::vector<WorldItem> generated(const std::vector<Draw>& draws, const Maker& scene_of) {
  std::vector<WorldItem> items;
  items.reserve(draws.size());
  for (const Draw& draw : draws)
    items.push_back(
        {name_of(draw), [draw, scene_of] { return made(draw, scene_of(draw.seed, draw.profile)); }});
  return items;
}

// Each kind in turn. Two strips must be refused; any other may be, but not be wrong in silence.
std::vector<WorldItem> ambiguous_scans(std::uint64_t seed, int count) {
  Rng rng(stream_seed(seed, "ambiguous-scans"));
  std::vector<WorldItem> items;
  for (int i = 0; i < count; ++i) {
    const Ambiguity kind = kAmbiguities[static_cast<std::size_t>(i) % std::size(kAmbiguities)];
    const std::uint64_t of_scene = rng.next() >> 1U;
    items.push_back(
        {ambiguity_name(kind) + "-" + std::to_string(of_scene), [kind, of_scene] {
           Result<WorldPicture> picture = made({of_scene, {}, {}}, ambiguous_scene(of_scene, kind));
           if (picture && kind == Ambiguity::kTwoTogether) {
             picture->truth.good = false;
             picture->truth.refusal = ambiguity_name(kind);
           }
           return picture;
         }});
  }
  return items;
}

// "scans/bench-03": below the folder, without ".truth.json".
std::string short_name(const std::string& truth_path, const std::string& folder) {
  const std::string name = truth_path.substr(folder.size() + 1);
  return name.substr(0, name.size() - std::string(".truth.json").size());
}

std::vector<WorldItem> files_of(const std::string& folder, const std::string& world) {
  std::vector<WorldItem> items;
  for (const std::string& path : truth_files(folder))
    if (world.empty() || world_of(path) == world)
      items.push_back({short_name(path, folder), [path] { return load_world_picture(path); }});
  return items;
}

Result<Faces> all_faces(const std::string& root) {
  const std::vector<std::string> missing = missing_wood_packages(root);
  if (!missing.empty()) {
    std::string names;
    for (const std::string& name : missing) names += " " + name;
    return Failure{"package-missing",
                   "The photographs of wood are in packages that are not installed:" + names + ".",
                   "apt-get install --no-install-recommends" + names};
  }
  Faces faces;
  for (const WoodPhoto& photo : wood_photos()) {
    auto loaded = load_wood_photo(photo, root);
    if (!loaded) return loaded.failure();
    faces.push_back(std::make_shared<const FacePhoto>(std::move(loaded.value())));
  }
  return faces;
}

// Widened photos with the lenses and sensors that Debian knows.
Result<std::vector<WorldItem>> widened_photos(const std::vector<Draw>& draws, const std::string& root) {
  const auto lenses = read_lenses(root + kLensFolder);
  if (!lenses) return lenses.failure();
  auto noises = read_noises(root + kNoiseFile);
  if (!noises) return noises.failure();
  WidenedOptions options;
  options.lenses = scene_lenses(*lenses);
  options.noises = std::move(noises.value());
  return generated(draws,
                   [options = std::make_shared<const WidenedOptions>(std::move(options))](
                       std::uint64_t s, SceneProfile p) { return widened_photo_scene(s, p, *options); });
}

}  // namespace

const std::vector<World>& all_worlds() {
  static const std::vector<World> worlds = {
      {"traced-scans", "ray-traced flatbed scans (tests/world/pictures)"},
      {"traced-photos", "ray-traced phone photos (tests/world/pictures)"},
      {"textured-scans", "the generator's scans, photographs of real wood as the face"},
      {"textured-photos", "the generator's photos, photographs of real wood as the face"},
      {"widened-scans", "the generator's scans beyond the estimator's model"},
      {"widened-photos", "the generator's photos beyond the estimator's model, real lenses and sensors"},
      {"ambiguous-scans", "the generator's scans with another line that could be the edge: may be refused"},
      {"testimages", "testimages/: the generator's, the seeds known to every test"},
  };
  return worlds;
}

Result<std::vector<WorldItem>> world_items(const std::string& world, std::uint64_t seed, int count,
                                           const WorldPlaces& places) {
  if (world == "testimages") return files_of(places.testimages, "");
  if (world == "traced-scans") return files_of(places.traced, "traced-scan");
  if (world == "traced-photos") return files_of(places.traced, "traced-photo");
  if (world == "ambiguous-scans") return ambiguous_scans(seed, count);
  const std::vector<Draw> draws = drawn(world, seed, count);
  if (world == "widened-scans")
    return generated(draws, [](std::uint64_t s, SceneProfile p) { return widened_scan_scene(s, p); });
  if (world == "widened-photos") return widened_photos(draws, places.root);
  const auto faces = all_faces(places.root);
  if (!faces) return faces.failure();
  if (world == "textured-scans")
    return generated(draws,
                     [f = *faces](std::uint64_t s, SceneProfile p) { return textured_scan_scene(s, p, f); });
  return generated(draws,
                   [f = *faces](std::uint64_t s, SceneProfile p) { return textured_photo_scene(s, p, f); });
}

}  // namespace tapersight::testing
