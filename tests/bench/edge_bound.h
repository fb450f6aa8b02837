// The least variance that any unbiased estimator of an edge's direction can have (Cramer-Rao).
#pragma once
#include "synth/scan_scene.h"

namespace tapersight::testing {

// A straight, smooth edge crossed by pixel rows.
struct EdgeView {
  double ground = 0.03, face = 0.45;  // light on both sides
  double blur_px = 1;                 // standard deviation, along the rows
  double noise_levels = 1;            // standard deviation of the noise, code values
  bool rounded = true;                // code values are whole numbers: 1/12 more variance
  EncodingScene encoding;
  int rows = 600;
  double lean = 0.01;        // columns a row
  int window_px = 20;        // pixels seen on each side of the edge
  double place_phase = 0.3;  // of the middle row
};

struct EdgeBound {
  double place_sd_px = 0;  // of one row's place, all else known (mean over the rows)
  double place_u_px = 0;   // of the edge's place at the middle row, and
  double lean_u = 0;       //   of its lean: levels, blur, place and lean unknown, each the same on all rows
};

// From the Fisher information of the five parameters, in code values.
EdgeBound edge_bound(const EdgeView& view);

}  // namespace tapersight::testing
