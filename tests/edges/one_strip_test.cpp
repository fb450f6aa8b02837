// Two strips side by side in a photo are never taken for one; a side wall, a shadow and the wood's own lines
// are no second strip.
#include "edges/one_strip.h"

#include <gtest/gtest.h>

#include <cmath>

namespace tapersight {
namespace {

constexpr double kPaper = 0.6, kWood = 0.2, kReachMm = 9;
constexpr WallReach kReach{kReachMm, kReachMm};

SharpLine line(double at_mm, double before, double after) {
  SharpLine sharp;
  sharp.line.at_mm = at_mm;
  sharp.line.from_mm = 20;
  sharp.line.to_mm = 220;
  sharp.before = before;
  sharp.step = after - before;
  sharp.u_lean_mm = 0.005;
  return sharp;
}

std::string verdict(const std::vector<SharpLine>& lines) {
  if (const auto two = two_side_by_side(lines)) return two->code;
  const auto failure = not_one_strip(lines, lines, lines.front(), lines.back(), kReach);
  return failure ? failure->code : "one";
}

TEST(OneStrip, DarkWoodOnPaperIsOne) {
  EXPECT_EQ(verdict({line(15, kPaper, kWood), line(35, kWood, kPaper)}), "one");
}

TEST(OneStrip, ASideWallIsNoSecondStrip) {
  // The wall's arris lies as far inside as 20 mm of wood, seen from 25 degrees, put it.
  EXPECT_EQ(verdict({line(15, kPaper, kWood / 2), line(23, kWood / 2, kWood), line(40, kWood, kPaper)}),
            "one");
  EXPECT_EQ(verdict({line(15, kPaper, kWood), line(32, kWood, kWood / 2), line(40, kWood / 2, kPaper)}),
            "one");
}

TEST(OneStrip, AnEdgeOfItsOwnInTheMiddleIsAnothersEdge) {
  // The gap begins in a soft shadow, which shows no line.
  EXPECT_EQ(verdict({line(10, kPaper, kWood), line(26, 0.8 * kPaper, kWood), line(48, kWood, kPaper)}),
            "two-strips");
}

TEST(OneStrip, TheNextStripsEdgeIsNotThisOnes) {
  // From one strip's left edge to the next one's: what lies inside the right one is paper.
  EXPECT_EQ(verdict({line(10, kPaper, kWood), line(36, 0.95 * kPaper, kWood)}), "two-strips");
}

TEST(OneStrip, AFaceAsLightAsPaperBesideItsDarkWallIsOne) {
  const double face = 0.95 * kPaper;
  EXPECT_EQ(verdict({line(15, kPaper, kWood), line(20, kWood, face), line(40, face, kPaper)}), "one");
}

// A line of some other thing, shorter than the strip.
SharpLine short_line(double at_mm, double before, double after, double lean = 0) {
  SharpLine sharp = line(at_mm - 70 * lean, before, after);
  sharp.line.lean = lean;
  sharp.line.to_mm = 120;
  return sharp;
}

TEST(OneStrip, AShorterThingBesideItIsSeen) {
  const std::vector<SharpLine> strip = {line(15, kPaper, kWood), line(35, kWood, kPaper)};
  const auto with = [&](const SharpLine& other) {
    const std::vector<SharpLine> all = {strip[0], strip[1], other};
    const auto failure = not_one_strip(all, strip, strip[0], strip[1], kReach);
    return failure ? failure->code : "one";
  };
  EXPECT_EQ(with(short_line(45, kPaper, kWood)), "two-strips");
  EXPECT_EQ(with(short_line(6, kWood, kPaper)), "two-strips");
  EXPECT_EQ(with(short_line(45, kPaper / 4, kPaper)), "one") << "where a hard shadow ends";
  EXPECT_EQ(with(short_line(6, kPaper, kPaper / 4)), "one") << "where a hard shadow ends";
  EXPECT_EQ(with(short_line(30, kWood, kWood / 3)), "one") << "a side wall's arris";
  EXPECT_EQ(with(short_line(30, kPaper, kWood, 0.01)), "one") << "a line of the wood";
}

TEST(OneStrip, TheArrisesOfASideAreParallel) {
  const double wall = 0.45;  // in the lamp's light
  SharpLine arris = line(30, kWood, wall);
  EXPECT_EQ(verdict({line(15, kPaper, kWood), arris, line(35, wall, kPaper)}), "one");
  arris.line.lean = 0.01;
  arris.line.at_mm -= 120 * arris.line.lean;
  EXPECT_EQ(verdict({line(15, kPaper, kWood), arris, line(35, wall, kPaper)}), "two-strips");
}

TEST(OneStrip, WoodBetweenTwoDarkLinesOnABlackGroundIsNoGap) {
  const double black = 0.04, light = 0.5, dark_line = 0.3;
  // Lighter than the ground beside the strip: it cannot be the ground in a shadow.
  const std::vector<SharpLine> grain = {line(10, black, light), line(19, light, dark_line),
                                        line(24, dark_line, light), line(34, light, black)};
  EXPECT_FALSE(two_side_by_side(grain));
  const std::vector<SharpLine> gap = {line(10, black, light), line(19, light, black / 2),
                                      line(24, black, light), line(34, light, black)};
  EXPECT_EQ(verdict(gap), "two-strips");
}

// A view of a face of tone 1 between 10 and 34 mm, with a band of another tone on it that winds by
// `winding_mm`.
RegionView view_with_band(double at_mm, double width_mm, double tone, double winding_mm) {
  RegionView view;
  view.code.create(240 * 4, 60 * 4, CV_8UC1);
  for (int y = 0; y < view.code.rows; ++y)
    for (int x = 0; x < view.code.cols; ++x) {
      const double across = (x + 0.5) / RegionView::kPxPerMm;
      const double middle = at_mm + winding_mm * std::sin(2 * M_PI * y / view.code.rows);
      const double light = 0.4 * (std::abs(across - middle) < width_mm / 2 ? tone : 1);
      view.code.at<uchar>(y, x) = cv::saturate_cast<uchar>(255 * (1.055 * std::pow(light, 1 / 2.4) - 0.055));
    }
  return view;
}

bool shows_band(double at_mm, double width_mm, double tone, double winding_mm = 0) {
  return band_inside(view_with_band(at_mm, width_mm, tone, winding_mm), line(10, 0, 0).line,
                     line(34, 0, 0).line, 20, 220)
      .has_value();
}

TEST(BandInside, IsSeenWhenItIsStraightAndClearOfTheEdges) {
  EXPECT_TRUE(shows_band(22, 2, 0.8));
  EXPECT_TRUE(shows_band(22, 2, 1.4));
  EXPECT_FALSE(shows_band(22, 2, 0.95)) << "as even as wood is";
  EXPECT_FALSE(shows_band(22, 0.5, 0.5)) << "a line of the wood";
  EXPECT_FALSE(shows_band(22, 2, 0.5, 2)) << "which winds";
  EXPECT_FALSE(shows_band(12, 4, 0.5)) << "a side wall";
  EXPECT_FALSE(shows_band(31, 6, 0.5)) << "a side wall";
}

}  // namespace
}  // namespace tapersight
