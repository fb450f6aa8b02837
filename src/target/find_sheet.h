// Finds the printed sheet in a picture: which sheet it is and where its saddle points lie.
#pragma once
#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "base/deadline.h"
#include "base/result.h"
#include "model/correspondence.h"
#include "target/sheet_layout.h"

namespace tapersight {

// 140 dpi: below, a saddle's window and an edge's profile hold too few pixels.
inline constexpr double kLeastPxPerMm = 5.5;
// Below, not even the sheet is measured.
inline constexpr double kLeastSheetPxPerMm = 2.2;

// A tag's marker (tag_layout.h) that was seen somewhere in the picture.
struct SeenTag {
  int bench = 0;
  std::array<Eigen::Vector2d, 4> corners_px;  // clockwise from the printed top left; good to about 0.2 mm
};

struct FoundSheet {
  const SheetLayout* layout = nullptr;
  std::vector<Correspondence> saddles;  // in the layout's order, those not seen left out
  int saddles_printed = 0;
  double px_per_mm = 0;       // about, at the sheet's middle
  double blur_px = 0;         // median optical blur of the saddles
  double contrast = 0;        // median light of paper minus light of ink
  std::vector<SeenTag> tags;  // by bench number
};

// Coded markers are looked for in a reduced picture and only tell which saddle is which; the saddles
// themselves are fitted in the full picture. Any rotation; parts may be covered.
//   grey  CV_8UC1
// Failures: "no-target", "target-mirrored", "target-covered", "resolution-too-low", "too-blurred",
// "saturated", "under-exposed", "blank-picture", "took-too-long".
Result<FoundSheet> find_sheet(const cv::Mat& grey, const Deadline& deadline = Deadline::never());

}  // namespace tapersight
