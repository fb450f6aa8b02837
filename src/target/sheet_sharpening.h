// How much the picture was sharpened, told by the printed sheet's own edges.
#pragma once
#include <opencv2/core.hpp>
#include <vector>

#include "imaging/sharpening.h"
#include "model/correspondence.h"
#include "target/sheet_layout.h"

namespace tapersight {

// Mean code value across the borders of the printed squares, from ink to paper, at `first_px` and every
// `step_px` on; each border put on its own half-way place. Empty where too few borders are seen, and below
// some 270 dpi, where the markers lie within the reach of a halo.
struct SheetProfile {
  double first_px = 0, step_px = 0;
  std::vector<double> code;
  std::vector<double> weight;  // 0 where the code is clipped
};

//   grey     CV_8UC1, the scan
//   saddles  those found, of `layout`
SheetProfile sheet_profile(const cv::Mat& grey, const std::vector<Correspondence>& saddles,
                           const SheetLayout& layout);

// Least squares of a blurred step, encoded and then sharpened, to the profile. No sharpening (amount 0) where
// a step without it fits about as well, or the profile is empty.
Sharpening sharpening_of(const SheetProfile& profile);

// Median optical blur of the saddles (FoundSheet::blur_px) in the picture as it was before the sharpening.
// 0: none could be fitted.
double blur_without(const Sharpening& sharpening, const cv::Mat& grey,
                    const std::vector<Correspondence>& saddles, const SheetLayout& layout);

}  // namespace tapersight
