// The rectangles of ink are the layout's own ink, and ink spread moves their outlines and nothing else.
#include "synth/sheet_ink.h"

#include <gtest/gtest.h>

#include "base/rng.h"

namespace tapersight {
namespace {

double ink_at(const std::vector<InkRect>& ink, const Eigen::Vector2d& p) {
  double sum = 0;
  for (const InkRect& rect : ink)
    if (rect.at_mm.contains(p)) sum += rect.weight;
  return sum;
}

// Whether there is ink in the square of half side d around p (grown), or only ink (shrunken). Nine points
// tell, for no detail of the sheet is smaller than 2 d.
bool spread_ink_at(const SheetLayout& layout, const Eigen::Vector2d& p, double spread) {
  const double d = std::abs(spread);
  bool any = false;
  bool all = true;
  for (const double dx : {-d, 0.0, d})
    for (const double dy : {-d, 0.0, d}) {
      const bool black = layout.fiducial_ink_at(p + Eigen::Vector2d(dx, dy));
      any = any || black;
      all = all && black;
    }
  return spread >= 0 ? any : all;
}

class SheetInk : public testing::TestWithParam<double> {};

TEST_P(SheetInk, IsTheLayoutsInkWithItsOutlinesMoved) {
  Rng rng(3);
  int inked = 0;
  int moved = 0;
  for (const SheetLayout* layout : all_sheet_layouts()) {
    const auto ink = fiducial_ink(*layout, GetParam());
    for (int i = 0; i < 20000; ++i) {
      const RectMm& block = layout->blocks[i % 2];
      const Eigen::Vector2d p(block.x + rng.uniform() * block.width, block.y + rng.uniform() * block.height);
      const bool expected = spread_ink_at(*layout, p, GetParam());
      ASSERT_EQ(ink_at(ink, p), expected ? 1 : 0) << layout->id << ' ' << p.transpose();
      inked += expected ? 1 : 0;
      moved += expected != layout->fiducial_ink_at(p) ? 1 : 0;
    }
  }
  EXPECT_GT(inked, 10000);
  EXPECT_EQ(moved > 100, GetParam() != 0);
}

INSTANTIATE_TEST_SUITE_P(SpreadMm, SheetInk, testing::Values(0.0, 0.06, -0.06));

TEST(SheetInk, GrowsOutOfTheBlockToo) {
  const SheetLayout& layout = sheet_layout(Paper::kA4);
  const RectMm& block = layout.blocks[0];
  const auto grown = fiducial_ink(layout, 0.1);
  int checked = 0;
  for (double y = block.y + 0.5; y < block.bottom(); y += 0.7) {
    if (!layout.fiducial_ink_at({block.x + 0.01, y - 0.2}) ||
        !layout.fiducial_ink_at({block.x + 0.01, y + 0.2}))
      continue;
    EXPECT_EQ(ink_at(grown, {block.x - 0.05, y}), 1);
    EXPECT_EQ(ink_at(grown, {block.x - 0.15, y}), 0);
    ++checked;
  }
  EXPECT_GT(checked, 100);
}

}  // namespace
}  // namespace tapersight
