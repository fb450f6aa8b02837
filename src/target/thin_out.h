// Bounds the work of looking for the sheet's markers.
#pragma once
#include <opencv2/core.hpp>

namespace tapersight {

// Of what may be a marker, sizes of the outline in px.
struct OutlineRange {
  double least = 0, most = 0;
};

// What looks for squares compares each with every other, and keeps the outline of every speck: millimetre
// paper, checked cloth or a floor of small tiles take it minutes, sawdust a gigabyte. Pictures that hold no
// more than some two thousand shapes of a marker's size are returned as they are (the same pixels). In others
// all is painted over but what may be a marker: dark, of a marker's size and shape, with light and dark in
// it, the largest first, at most some hundreds. `grey`: CV_8UC1.
cv::Mat thinned_out(const cv::Mat& grey, const OutlineRange& outline);

}  // namespace tapersight
