#include "edges/locate_strip.h"

#include <Eigen/Core>

#include "edges/channel_pieces.h"
#include "edges/raised_strip.h"
#include "edges/strip_face.h"

namespace tapersight {
namespace {

// What a shadow that touches the strip and the channel's border can make of one good strip.
bool may_be_a_shadows_doing(const Failure& failure) {
  return failure.code == "no-strip" || failure.code == "no-contrast" || failure.code == "strip-too-long" ||
         failure.code == "target-covered";
}

bool ends_within(const StripOutline& outline, const StripSearch& search) {
  for (const double end : {outline.far_mm, outline.fence_mm})
    for (int side = 0; side < 2; ++side) {
      const Eigen::Vector2d at = outline.on_side(side, end);
      if ((at.array() < search.low_mm.array() + search.end_margin_mm).any() ||
          (at.array() > search.high_mm.array() - search.end_margin_mm).any())
        return false;
    }
  return true;
}

}  // namespace

Result<StripOutline> locate_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search,
                                  double blur_px) {
  Result<StripOutline> by_region = find_strip(grey, map, search);
  if (by_region || !may_be_a_shadows_doing(by_region.failure()) || search.deadline.passed()) return by_region;
  Result<StripOutline> by_lines = find_raised_strip(grey, map, search, blur_px);
  if (!by_lines || !ends_within(*by_lines, search)) return by_region;
  const StripFace face = straightened(segment_region(grey, map, search), *by_lines);
  return shows_ground_across(face) ? by_region : by_lines;
}

}  // namespace tapersight
