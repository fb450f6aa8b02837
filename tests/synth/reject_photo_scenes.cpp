#include <algorithm>
#include <array>
#include <string>
#include <utility>
#include <vector>

#include "synth/photo_scene.h"

namespace tapersight {
namespace {

// A photo that can be measured: the one thing that is wrong comes on top.
PhotoScene good_scene(std::uint64_t seed) {
  PhotoScene scene = random_photo_scene(seed, SceneProfile::kSmooth);
  scene.phone.blur_px = std::min(scene.phone.blur_px, 1.0);
  scene.phone.motion_px = 0;
  scene.strips.front().wood.tone = std::min(scene.strips.front().wood.tone, 0.35);
  return scene;
}

class RejectList {
 public:
  template <typename Spoil>
  void add(RejectReason reason, const std::string& what, const Spoil& spoil) {
    PhotoScene scene = good_scene(5000 + list_.size());
    spoil(scene);
    list_.push_back({"reject-" + reason_name(reason) + "-" + what, reason, std::move(scene)});
  }

  std::vector<RejectScene> take() { return std::move(list_); }

 private:
  std::vector<RejectScene> list_;
};

void add_blurred(RejectList& list) {
  for (const int px : {6, 8, 12})
    list.add(RejectReason::kBlurred, "focus-" + std::to_string(px) + "px",
             [&](PhotoScene& scene) { scene.phone.blur_px = px; });
  int degrees = 20;
  for (const int px : {18, 26, 40})
    list.add(RejectReason::kBlurred, "motion-" + std::to_string(px) + "px", [&](PhotoScene& scene) {
      scene.phone.motion_px = px;
      scene.phone.motion_deg = degrees += 50;
    });
}

void add_poses(RejectList& list) {
  for (const int mm : {1900, 2300, 3000})
    list.add(RejectReason::kTooSmall, std::to_string(mm) + "mm",
             [&](PhotoScene& scene) { scene.camera.distance_mm = mm; });
  for (const int degrees : {48, 54, 60})
    list.add(RejectReason::kTooOblique, std::to_string(degrees) + "deg", [&](PhotoScene& scene) {
      scene.camera.tilt_deg = degrees;
      scene.camera.distance_mm = 560;
      scene.camera.look_at_mm = {0, 0};
    });
  list.add(RejectReason::kTargetCutOff, "near", [](PhotoScene& scene) { scene.camera.distance_mm = 150; });
  list.add(RejectReason::kTargetCutOff, "far-end", [](PhotoScene& scene) {
    scene.camera.look_at_mm = {0, 130};
    scene.camera.distance_mm = 280;
    scene.camera.roll_deg = 88;
    scene.camera.tilt_deg = 5;
  });
  list.add(RejectReason::kTargetCutOff, "fence-end", [](PhotoScene& scene) {
    scene.camera.look_at_mm = {0, -140};
    scene.camera.distance_mm = 300;
    scene.camera.roll_deg = 272;
    scene.camera.tilt_deg = 5;
  });
  list.add(RejectReason::kTargetCutOff, "one-side", [](PhotoScene& scene) {
    scene.camera.look_at_mm = {165, 0};
    scene.camera.distance_mm = 330;
    scene.camera.roll_deg = 92;
    scene.camera.tilt_deg = 5;
  });
}

void add_light(RejectList& list) {
  for (const double at : {-40.0, 0.0, 45.0})
    list.add(RejectReason::kGlare,
             at < 0   ? "strip-far"
             : at > 0 ? "strip-fence"
                      : "strip-middle",
             [&](PhotoScene& scene) {
               scene.glares.push_back({{0, at}, {45, 55}, 10, 6, 3.0, true, false});
               scene.glares.push_back({{0, at}, {28, 55}, 10, 6, 3.0, false, true});
             });
  for (const double at : {-50.0, 10.0, 60.0})
    list.add(RejectReason::kGlare,
             at < 0    ? "target-far"
             : at > 30 ? "target-fence"
                       : "target-middle",
             [&](PhotoScene& scene) {
               scene.glares.push_back({{45, at}, {25, 60}, 5, 6, 3.0, false, true});
             });
  for (const double exposure : {0.012, 0.025})
    list.add(RejectReason::kUnderexposed, std::to_string(static_cast<int>(1000 * exposure)),
             [&](PhotoScene& scene) { scene.encoding.exposure = exposure / scene.paper_tone; });
  for (const double exposure : {6.0, 14.0})
    list.add(RejectReason::kOverexposed, std::to_string(static_cast<int>(exposure)), [&](PhotoScene& scene) {
      scene.encoding.exposure = exposure / scene.paper_tone;
      scene.strips.front().wood.tone = 0.35;
    });
}

void add_strips(RejectList& list) {
  list.add(RejectReason::kStripNotInChannel, "on-a-block",
           [](PhotoScene& scene) { scene.strips.front().offset_x_mm = 44; });
  list.add(RejectReason::kStripNotInChannel, "slanting", [](PhotoScene& scene) {
    scene.strips.front().angle_deg = 24;
    scene.strips.front().length_mm = 210;
    scene.strips.front().offset_y_mm = 0;
  });
  list.add(RejectReason::kStripNotInChannel, "across", [](PhotoScene& scene) {
    scene.strips.front().angle_deg = 88;
    scene.strips.front().length_mm = 180;
    scene.strips.front().offset_y_mm = 20;
  });
  list.add(RejectReason::kStripNotInChannel, "half-out", [](PhotoScene& scene) {
    scene.strips.front().length_mm = 200;
    scene.strips.front().offset_y_mm = 95;
    scene.camera.distance_mm = 600;
  });
  for (const int seed : {1, 2})
    list.add(RejectReason::kNoStrip, std::to_string(seed), [](PhotoScene& scene) { scene.strips.clear(); });
  for (const double angle : {1.5, -2.0})
    list.add(RejectReason::kTwoStrips, angle > 0 ? "1" : "2", [&](PhotoScene& scene) {
      PhotoStripScene& first = scene.strips.front();
      first.width_mm = 12;
      first.length_mm = std::min(first.length_mm, 220.0);
      first.offset_y_mm = 0;
      PhotoStripScene second = first;
      first.offset_x_mm = -15;
      second.offset_x_mm = 14;
      second.angle_deg = angle;
      scene.strips.push_back(second);
    });
  list.add(RejectReason::kBrokenStrip, "1", [](PhotoScene& scene) {
    PhotoStripScene& strip = scene.strips.front();
    strip.break_gap_mm = 4;
    strip.break_at_mm = 20;
    strip.break_shift_mm = 1.2;
  });
}

void add_sheets(RejectList& list) {
  for (const double sagitta : {4.0, -5.0, 7.0})
    list.add(
        RejectReason::kSheetNotFlat,
        (sagitta > 0 ? "middle-up-" : "borders-up-") + std::to_string(std::abs(static_cast<int>(sagitta))),
        [&](PhotoScene& scene) {
          scene.sagitta_mm = sagitta;
          scene.bulge_along_y = sagitta != -5;
        });
  for (const int seed : {1, 2})
    list.add(RejectReason::kNoTarget, std::to_string(seed),
             [](PhotoScene& scene) { scene.has_target = false; });
  list.add(RejectReason::kTargetHidden, "one-block", [](PhotoScene& scene) {
    const RectMm& block = sheet_layout(scene.paper).blocks[0];
    scene.patches.push_back({{block.x - 30, block.y - 15, block.width + 31, block.height + 30}, 0.3});
  });
  list.add(RejectReason::kTargetHidden, "two-thirds", [](PhotoScene& scene) {
    for (const RectMm& block : sheet_layout(scene.paper).blocks)
      scene.patches.push_back({{block.x - 5, block.y - 15, block.width + 10, 0.72 * block.height}, 0.5});
  });
}

}  // namespace

std::string reason_name(RejectReason reason) {
  static constexpr std::array<const char*, 14> kNames = {
      "blurred",        "too-small",     "too-oblique",          "glare",    "underexposed", "overexposed",
      "target-cut-off", "target-hidden", "strip-not-in-channel", "no-strip", "two-strips",   "broken-strip",
      "sheet-not-flat", "no-target"};
  return kNames.at(static_cast<std::size_t>(reason));
}

std::vector<RejectScene> reject_photo_scenes() {
  RejectList list;
  add_blurred(list);
  add_poses(list);
  add_light(list);
  add_strips(list);
  add_sheets(list);
  return list.take();
}

}  // namespace tapersight
