// What is exactly true of a synthetic photo. Frames as in photo_scene.h.
#pragma once
#include <Eigen/Core>
#include <Eigen/Geometry>
#include <nlohmann/json_fwd.hpp>
#include <vector>

#include "synth/camera.h"
#include "synth/photo_scene.h"
#include "synth/truth_parts.h"

namespace tapersight {

// A straight cut's arris in the picture; distortion bends it between its ends.
struct ArrisTruth {
  EdgeLine ends_px;
  std::vector<Eigen::Vector2d> points_px;  // evenly spaced on the strip, far end first
  bool visible = true;                     // not hidden behind the strip itself
};

struct PhotoStripTruth {
  double length_mm = 0;  // true millimetres from here ...
  double width_mm = 0;   // of the top face, at the middle
  double width_fence_end_mm = 0;
  double width_far_end_mm = 0;
  double thickness_mm = 0;
  double taper = 0;            // (fence end - far end) / length, of the straight cuts
  double taper_as_drawn = 0;   // of least-squares lines through the top arrises with roughness, bow, chips
  double bottom_as_drawn = 0;  // the same of the bottom arrises
  double taper_in_sheet = 0;   // of the straight cuts measured in sheet millimetres (print errors included)
  double base_height_mm = 0;   // of the bottom face above the bench: above 0 on a bulged sheet
  Eigen::Affine2d bench_from_strip;
  ArrisTruth left_top, right_top, left_bottom, right_bottom;  // left and right as in the strip frame
  EdgeLine left_sheet, right_sheet;                           // top arrises, straight down on the sheet; mm
};

struct PhotoTruth {
  PinholeCamera camera;
  Eigen::Affine2d bench_from_sheet;
  std::vector<PhotoStripTruth> strips;
  std::vector<SaddleTruth> saddles;  // in the order of SheetLayout::saddles; empty without target

  // The height above the bench included, `height_mm` above the strip's bottom face.
  Eigen::Vector2d pixel_from_strip(std::size_t strip, const Eigen::Vector2d& vu_mm, double height_mm) const;
};

PhotoTruth make_photo_truth(const PhotoScene& scene);

// Where a point of the sheet lies, bulge included; bench frame, mm.
Eigen::Vector3d bench_from_sheet_point(const PhotoScene& scene, const Eigen::Vector2d& sheet_mm);

// The height of the sheet above the bench at its middle, where the strip lies, mm.
double middle_height_mm(const PhotoScene& scene);

// The seeds of the strip's top outline and of its bottom outline; the same when they share their roughness.
std::uint64_t strip_seed(const PhotoScene& scene, std::size_t index);
std::uint64_t bottom_seed(const PhotoScene& scene, std::size_t index);

// Truth and the settings that matter for judging a measurement, as one JSON object.
nlohmann::json truth_json(const PhotoScene& scene, const PhotoTruth& truth);

}  // namespace tapersight
