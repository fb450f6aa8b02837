// The effects of bench_coverage: each alone on the plain world, whose model the estimator shares.
#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "synth/photo_scene.h"
#include "synth/scan_scene.h"

namespace tapersight::testing {

// A test board cut all round on a sled, every cut with its own seating and deflection.
struct SeriesOfCuts {
  double fence = 0;        // the fence's error, rad, counter-clockwise positive
  double strip_taper = 0;  // of the strip that came off
  double strip_length_mm = 0;
};
// `square`: the fence is all but square, so that the strip's edges are all but parallel.
SeriesOfCuts cut_series(std::uint64_t seed, bool square);

// All scans are 300 dpi and show the blocks and the channel alone.
struct CoverageEffect {
  std::string name, size;  // size: what is drawn, in words
  ScanScene (*scan)(std::uint64_t seed);
  PhotoScene (*photo)(std::uint64_t seed);  // either may be null: no such effect there
  bool square = false;                      // see cut_series
};

// "plain" first, then one effect each, then all together (rough edges too).
const std::vector<CoverageEffect>& coverage_effects();

}  // namespace tapersight::testing
