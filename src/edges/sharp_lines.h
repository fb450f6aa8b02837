// The long lines of the channel that are sharp in the full picture. Only for this folder.
#pragma once
#include <algorithm>
#include <opencv2/core.hpp>
#include <vector>

#include "edges/find_strip.h"
#include "edges/long_lines.h"
#include "edges/region_view.h"
#include "model/sheet_map.h"
#include "model/strip.h"

namespace tapersight {

// Where no strip is found with these limits, a soft line may be two, those of a narrow side wall in view, and
// one as strong as any may be rougher.
enum class Look { kStrict, kLenient };

inline constexpr double kLeastWidthMm = 4;  // of a strip

// A long line as the full picture shows it.
struct SharpLine {
  LongLine line;
  double step = 0;       // light, growing to the right
  double before = 0;     // light to its left
  double u_lean_mm = 0;  // of its lean, over half its length
  bool straight = true;
  bool hardly_straight = true;  // or no more than twice as far from it
  LongLine whole;               // with ends at which its segments do not agree
  double worth() const { return 1 / std::max(u_lean_mm, 1e-4); }
  double middle() const { return line.place((line.from_mm + line.to_mm) / 2); }
  double after() const { return before + step; }
};

// Lines along the channel, without its own border: a hairline, or the end of the black.
std::vector<LongLine> lines_within(const RegionView& view, double least_length_mm);

// Those of the long lines that are sharp. `blur_px`: of the sheet's own edges. A shadow's border is softer,
// by the size of the lamp.
std::vector<SharpLine> look_along(const std::vector<LongLine>& lines, const cv::Mat& grey,
                                  const SheetMap& map, const RegionView& view, const StripSearch& search,
                                  double blur_px, Look look);

// Two lines of the view as an outline; one of them may be a mere stand-in.
StripOutline outline_between(const RegionView& view, const StripSearch& search, const LongLine& left,
                             const LongLine& right, double from_mm, double to_mm);

}  // namespace tapersight
