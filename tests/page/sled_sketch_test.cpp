// The drawing shows what happens on the sled: the board lies on the fence, the strip along the blade, tapered
// the way that the formula says.
#include "page/sled_sketch.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <regex>
#include <sstream>

namespace tapersight {
namespace {

using Points = std::vector<std::pair<double, double>>;

// The corners of the shape with this look; y down.
Points corners_of(const std::string& html, const std::string& look) {
  const std::regex shape("<path d=\"M([^\"]*)z\" class=\"" + look + "\"");
  std::smatch found;
  Points points;
  if (!std::regex_search(html, found, shape)) return points;
  std::istringstream stream(std::regex_replace(found[1].str(), std::regex("L"), " "));
  for (double x = 0, y = 0; stream >> x >> y;) points.emplace_back(x, y);
  return points;
}

double width_at(const Points& points, double y) {
  double low = 1e9, high = -1e9;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto [x0, y0] = points[i];
    const auto [x1, y1] = points[(i + 1) % points.size()];
    if ((y0 - y) * (y1 - y) > 0 || y0 == y1) continue;
    const double x = x0 + (x1 - x0) * (y - y0) / (y1 - y0);
    low = std::fmin(low, x);
    high = std::fmax(high, x);
  }
  return high - low;
}

TEST(SledDrawing, TheStripIsTaperedTheWayTheFormulaSays) {
  for (const FenceSide fence : {FenceSide::kNear, FenceSide::kFar})
    for (const Side falls : {Side::kLeft, Side::kRight})
      for (const int turns : {4, 2})
        for (const Sense sense : {Sense::kCounterclockwise, Sense::kClockwise}) {
          SledSketch sketch;
          sketch.setup.fence = fence;
          sketch.setup.strip_falls = falls;
          sketch.setup.turns = turns;
          sketch.sense = sense;
          const std::string html = sled_drawing(sketch, "a sled").html();
          const Points strip = corners_of(html, "strip"), board = corners_of(html, "board");
          ASSERT_GE(strip.size(), 4U) << html;
          ASSERT_EQ(board.size(), 4U) << "no rough edge is left, no wedge at the blade";
          double top = 1e9, bottom = -1e9;
          for (const auto& [x, y] : strip) top = std::fmin(top, y), bottom = std::fmax(bottom, y);
          const double at_top = width_at(strip, top + 0.2 * (bottom - top));
          const double at_bottom = width_at(strip, bottom - 0.2 * (bottom - top));
          const bool near = fence == FenceSide::kNear;
          const double fence_less_far = near ? at_bottom - at_top : at_top - at_bottom;
          const double theta_sign = sense == Sense::kCounterclockwise ? 1 : -1;
          EXPECT_GT(fence_less_far * theta_sign * taper_sign(sketch.setup), 2)
              << side_name(falls) << fence_side_name(fence) << turns;
        }
}

TEST(SledDrawing, ASquareFenceIsDrawnSquareWithoutAnArrow) {
  SledSketch sketch;
  const std::string html = sled_drawing(sketch, "a sled").html();
  const Points strip = corners_of(html, "strip");
  ASSERT_EQ(strip.size(), 4U);
  EXPECT_NEAR(width_at(strip, 120), width_at(strip, 160), 0.3);
  EXPECT_EQ(html.find("class=\"move\""), std::string::npos);
  EXPECT_EQ(html.find("square-line"), std::string::npos);
}

}  // namespace
}  // namespace tapersight
