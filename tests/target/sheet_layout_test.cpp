// The printed target's layout keeps its promises.
#include "target/sheet_layout.h"

#include <gtest/gtest.h>

#include <set>

namespace tapersight {
namespace {

TEST(SheetLayout, TakesATenInchStripAndFitsThePage) {
  for (const SheetLayout* layout : all_sheet_layouts()) {
    EXPECT_GE(layout->channel.height, 254 + 2) << layout->id;
    // What office printers leave blank at the border: a quarter of an inch (common practice, no published
    // source).
    for (const RectMm& block : layout->blocks) {
      EXPECT_GE(block.x, 6.35);
      EXPECT_GE(block.y, 6.35);
      EXPECT_LE(block.right(), layout->page_width_mm - 6.35);
      EXPECT_LE(block.bottom(), layout->page_height_mm - 6.35);
    }
    EXPECT_GE(layout->bar_x.from_mm.y(), 6.35);
  }
}

TEST(SheetLayout, EveryMarkerIsUniqueOverAllSheets) {
  std::set<int> ids;
  std::size_t markers = 0;
  for (const SheetLayout* layout : all_sheet_layouts()) {
    markers += layout->markers.size();
    for (const Marker& m : layout->markers) ids.insert(m.id);
  }
  EXPECT_EQ(ids.size(), markers);
}

TEST(SheetLayout, InkAroundEverySaddleIsAChessboard) {
  for (const SheetLayout* layout : all_sheet_layouts())
    for (const Saddle& s : layout->saddles) {
      const double d = 0.6;  // mm: within the rim and clear of the markers
      const bool ul = layout->fiducial_ink_at(s.at_mm + Eigen::Vector2d(-d, -d));
      const bool ur = layout->fiducial_ink_at(s.at_mm + Eigen::Vector2d(d, -d));
      const bool ll = layout->fiducial_ink_at(s.at_mm + Eigen::Vector2d(-d, d));
      const bool lr = layout->fiducial_ink_at(s.at_mm + Eigen::Vector2d(d, d));
      EXPECT_EQ(ul, s.ink_upper_left);
      EXPECT_EQ(lr, ul);
      EXPECT_EQ(ur, !ul);
      EXPECT_EQ(ll, !ul);
    }
}

TEST(SheetLayout, NothingIsPrintedInTheChannel) {
  for (const SheetLayout* layout : all_sheet_layouts())
    for (double y = layout->channel.y; y <= layout->channel.bottom(); y += 1.7)
      for (double x = layout->channel.x; x <= layout->channel.right(); x += 1.3)
        EXPECT_FALSE(layout->fiducial_ink_at({x, y}));
}

}  // namespace
}  // namespace tapersight
