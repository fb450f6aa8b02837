#include "target/tag_layout.h"

#include <cstddef>

namespace tapersight {

std::vector<RectMm> tag_ink(int bench) {
  const std::vector<bool>& white = marker_bits(tag_marker(bench));
  const double module = kTagMarkerMm / kMarkerModules;
  std::vector<RectMm> ink;
  for (int r = 0; r < kMarkerModules; ++r)
    for (int c = 0; c < kMarkerModules; ++c) {
      const bool border = r == 0 || c == 0 || r == kMarkerModules - 1 || c == kMarkerModules - 1;
      if (border || !white[static_cast<std::size_t>((r - 1) * kMarkerBits + c - 1)])
        ink.push_back({c * module - kTagMarkerMm / 2, r * module - kTagMarkerMm / 2, module, module});
    }
  return ink;
}

}  // namespace tapersight
