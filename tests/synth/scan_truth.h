// What is exactly true of a synthetic scan. Frames as in scan_scene.h.
#pragma once
#include <Eigen/Core>
#include <Eigen/Geometry>
#include <nlohmann/json_fwd.hpp>
#include <opencv2/core.hpp>
#include <vector>

#include "synth/scan_scene.h"
#include "synth/scanner_map.h"
#include "synth/truth_parts.h"

namespace tapersight {

struct StripTruth {
  double length_mm = 0;  // true millimetres from here ...
  double width_mm = 0;   // at the middle
  double width_fence_end_mm = 0;
  double width_far_end_mm = 0;
  double taper = 0;           // (fence end - far end) / length, of the straight cuts
  double taper_as_drawn = 0;  // of the least-squares lines through the edges with roughness, bow, chips
  double taper_in_sheet = 0;  // of the straight cuts measured in sheet millimetres (print errors included)
  EdgeLine left_glass, right_glass;  // mm; left and right as in the strip frame
  EdgeLine left_sheet, right_sheet;  // sheet mm
  EdgeLine left_px, right_px;
  Eigen::Affine2d glass_from_strip;
};

struct TagTruth {
  int bench = 0;
  Eigen::Affine2d glass_from_tag;
};

struct ScanTruth {
  int dpi = 0;
  Paper paper = Paper::kA4;
  bool has_target = true;
  Eigen::Affine2d glass_from_sheet;
  ScannerMap map;
  std::vector<StripTruth> strips;
  std::vector<SaddleTruth> saddles;  // in the order of SheetLayout::saddles; empty without target
  std::vector<TagTruth> tags;
  SheetScene sheet;  // its print's faults ...
  CurlScene curl;    // ... and how it lies

  // Print faults and curl included; glass_from_sheet knows neither.
  Eigen::Vector2d glass_from_sheet_point(const Eigen::Vector2d& sheet_mm) const;
  Eigen::Vector2d sheet_point_from_glass(const Eigen::Vector2d& glass_mm) const;
  Eigen::Vector2d pixel_from_sheet(const Eigen::Vector2d& sheet_mm) const;
  Eigen::Vector2d sheet_from_pixel(const Eigen::Vector2d& pixel) const;
};

// Where a point of the strip's lower face is seen on the glass: as it lies, or less far out when lifted.
Eigen::Vector2d seen_on_glass(const StripScene& strip, const Eigen::Affine2d& glass_from_strip,
                              const Eigen::Vector2d& vu_mm);

ScanTruth make_truth(const ScanScene& scene);

// The seed of everything random about strip `index`.
std::uint64_t strip_seed(const ScanScene& scene, std::size_t index);

// Truth and the settings that matter for judging a measurement, as one JSON object.
nlohmann::json truth_json(const ScanScene& scene, const ScanTruth& truth);

}  // namespace tapersight
