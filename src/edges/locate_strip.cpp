#include "edges/locate_strip.h"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include "edges/channel_pieces.h"
#include "edges/raised_strip.h"
#include "edges/strip_face.h"

namespace tapersight {
namespace {

// What a shadow that touches the strip or the channel's border can make of one good strip.
bool may_be_a_shadows_doing(const Failure& failure) {
  constexpr std::array<std::string_view, 6> kCodes = {
      "no-strip", "no-contrast", "not-a-strip", "strip-too-long", "strip-broken", "strip-across-fiducials"};
  return std::find(kCodes.begin(), kCodes.end(), failure.code) != kCodes.end();
}

}  // namespace

Result<StripOutline> locate_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search,
                                  double blur_px) {
  Result<StripOutline> by_region = find_strip(grey, map, search);
  if (by_region || !may_be_a_shadows_doing(by_region.failure()) || search.deadline.passed()) return by_region;
  Result<StripOutline> by_lines = find_raised_strip(grey, map, search, blur_px);
  if (!by_lines) return by_region;
  const StripFace face = straightened(segment_region(grey, map, search), *by_lines);
  return shows_ground_across(face) ? std::move(by_region) : std::move(by_lines);
}

}  // namespace tapersight
