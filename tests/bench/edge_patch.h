// A small picture of a strip's two long edges, rendered exactly, and traced with a known map: for figures
// about the edges alone. Pixel frame of imaging/picture.h; the edges run through the whole picture.
#pragma once
#include <array>
#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

#include "synth/scan_scene.h"
#include "taper/measure_strip.h"

namespace tapersight::testing {

struct EdgePatch {
  int lines = 600;  // rows
  double dpi = 300;
  double width_px = 60;                         // of the strip along a row, at the middle row
  double tilt_deg = 0;                          // of the left edge from the columns
  double taper = 0;                             // of the strip
  double phase_px = 0;                          // moves both edges
  double blur_px = 1;                           // standard deviation, the same in all directions
  std::array<double, 2> ground = {0.03, 0.03};  // light left and right of the strip
  double face = 0.45;                           // light of the strip ...
  double face_drift = 0;                        // ... relative change of it, first to last row
  double saw_contrast = 0;                      // ... and saw marks across it: relative amplitude,
  double saw_period_px = 8;                     //     period along the rows' way
  double roughness_um = 0;                      // rms of both edges
  double correlation_mm = 0.5;
  bool gaussian = false;
  double halo = 0;     // sharpening by the scanner's software: so much of (codes - blurred codes) is added,
  double halo_px = 1;  //   blurred by a Gaussian of this standard deviation
  EncodingScene encoding;
  std::uint64_t seed = 1;  // of the roughness

  double lean(int side) const;   // columns a row
  double place(int side) const;  // column at the middle row
  double mm_per_px() const { return 25.4 / dpi; }
  cv::Size size() const;
};

// Light, CV_32FC1. Straight edges: a Gaussian-blurred step integrated over the pixel. Rough edges: exact
// areas, then blurred.
cv::Mat patch_light(const EdgePatch& patch);
// Code values with noise, through sharpening and JPEG where the patch asks for it.
cv::Mat patch_codes(const EdgePatch& patch, const cv::Mat& light, double noise_levels, std::uint64_t seed);

struct PatchResult {
  bool measured = false;
  double taper_error = 0;
  double u = 0, dof = 0;
  std::array<double, 2> edge_px = {0, 0};  // displacement of each edge along a row, at the middle row
  double used_px = 0;                      // length along the strip that the taper is taken from
};

// trace_edges and measure_strip from rough lines that are 0.4 px off.
PatchResult measure_patch(const EdgePatch& patch, const cv::Mat& codes);

}  // namespace tapersight::testing
