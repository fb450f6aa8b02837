#include "bench/world_scenes.h"

#include <algorithm>
#include <cmath>

#include "base/rng.h"
#include "bench/issue_scenes.h"
#include "synth/roughness.h"

namespace tapersight::testing {
namespace {

constexpr double kLeastContrast = 0.12;  // of a lid against the wood: under that nobody would scan it so
constexpr double kDarkWood = 0.15;       // shows on paper as it is
constexpr double kUsualPrintRatio = 0.003;

void lay_face(Rng& rng, const Faces& faces, StripScene& strip) {
  FaceScene& face = strip.face;
  face.photo = faces[static_cast<std::size_t>(rng.integer(0, static_cast<int>(faces.size()) - 1))];
  face.x_mm = rng.uniform(0, face.photo->width_mm());
  face.y_mm = rng.uniform(0, face.photo->height_mm());
  face.turn_deg = rng.integer(0, 9) == 0 ? rng.uniform(-90, 90) : 2 * rng.normal();
  const double drawn_tone = strip.wood.tone;
  take_tone(*face.photo, strip.wood);
  strip.wall.tone *= strip.wood.tone / drawn_tone;
}

double shaded_tone(double ground_tone, const StripScene& strip) {
  return ground_tone * (strip.shadow.side == StripSide::kNone ? 1 : 1 - strip.shadow.depth);
}

void choose_lid(Rng& rng, ScanScene& scene) {
  StripScene& strip = scene.strips.front();
  if (std::abs(scene.ground_tone - strip.wood.tone) < kLeastContrast)
    scene.ground_tone = scene.ground_tone < 0.5 ? rng.uniform(0.82, 0.92) : rng.uniform(0.02, 0.05);
  if (std::abs(shaded_tone(scene.ground_tone, strip) - strip.wood.tone) < kLeastContrast) strip.shadow = {};
}

template <typename Strip>
void lay_side_by_side(Rng& rng, std::vector<Strip>& strips) {
  Strip first = strips.front();
  first.width_mm = rng.uniform(9, 17);
  first.offset_y_mm = 0;
  first.angle_deg = rng.uniform(-0.5, 0.5);
  Strip second = first;
  second.width_mm = rng.uniform(9, 17);
  second.length_mm *= rng.uniform(0.85, 1);
  second.taper = -first.taper;
  second.angle_deg += rng.uniform(-0.3, 0.3);
  second.face.y_mm += 40;
  const double gap_mm = rng.uniform(2, 12);
  first.offset_x_mm = -(first.width_mm + gap_mm) / 2;
  second.offset_x_mm = (second.width_mm + gap_mm) / 2;
  strips = {first, second};
}

template <typename Scene>
void spoil_any(Spoil how, Scene& scene) {
  Rng rng(stream_seed(scene.seed, "spoil"));
  if (how == Spoil::kTwoStrips) lay_side_by_side(rng, scene.strips);
  if (how == Spoil::kNoStrip) scene.strips.clear();
  if (how != Spoil::kBroken) return;
  auto& strip = scene.strips.front();
  strip.break_gap_mm = rng.uniform(2, 8);
  strip.break_at_mm = rng.uniform(-0.3, 0.3) * strip.length_mm;
  strip.break_shift_mm = rng.uniform(-1.5, 1.5);
}

}  // namespace

ScanScene textured_scan_scene(std::uint64_t seed, SceneProfile profile, const Faces& faces) {
  SceneOptions options;
  options.print_ratio_sd = kUsualPrintRatio;
  ScanScene scene =
      issue_scene(seed, profile == SceneProfile::kRough ? Edges::kRough : Edges::kSmooth, options);
  Rng rng(stream_seed(seed, "textured scan"));
  scene.encoding.colour = true;
  lay_face(rng, faces, scene.strips.front());
  choose_lid(rng, scene);
  return scene;
}

PhotoScene textured_photo_scene(std::uint64_t seed, SceneProfile profile, const Faces& faces) {
  PhotoScene scene = random_photo_scene(seed, profile);
  Rng rng(stream_seed(seed, "textured photo"));
  lay_face(rng, faces, scene.strips.front());
  const bool dark_channel = rng.integer(0, 1) == 1;
  if (dark_channel && scene.strips.front().wood.tone > kDarkWood) darken_channel(scene);
  return scene;
}

std::string spoil_name(Spoil how) {
  return how == Spoil::kTwoStrips ? "two-strips" : how == Spoil::kBroken ? "broken" : "no-strip";
}

void spoil(Spoil how, ScanScene& scene) {
  spoil_any(how, scene);
}

void spoil(Spoil how, PhotoScene& scene) {
  spoil_any(how, scene);
}

double contrast_of(const ScanScene& scene) {
  return std::abs(scene.strips.front().wood.tone - scene.ground_tone);
}

double contrast_of(const PhotoScene& scene) {
  const bool dark_channel =
      under_patch(scene, {layout_of(scene).channel.x + 1, layout_of(scene).channel.y + 1});
  return std::abs(scene.strips.front().wood.tone - (dark_channel ? scene.ink_tone : scene.paper_tone));
}

}  // namespace tapersight::testing
