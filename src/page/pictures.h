// The pictures of a page: JPEG, small enough to be sent along.
#pragma once
#include <opencv2/core.hpp>
#include <string>

#include "assess/measurement_report.h"
#include "base/result.h"
#include "page/html.h"
#include "pipeline/fault_marks.h"
#include "report/picture_panel.h"

namespace tapersight {

inline constexpr int kPagePicturePx = 1200;  // long side, at most
inline constexpr int kThumbnailPx = 320;

struct Jpeg {
  std::string bytes;
  int width_px = 0, height_px = 0;
};

// Failure of all: "page-not-drawn".

// The picture made small, grey; what a class sheet shows of one that could not be measured.
Result<Jpeg> small_picture(const cv::Mat& grey, int long_side_px = kThumbnailPx);
// The next three are drawings: the picture as JPEG, and over it shapes that stay sharp at any zoom. `alt`,
// plain text, is what a screen reader says.

// The picture with what was found in it. Only for a report that holds a measurement, as strip_picture.
Result<Markup> found_picture(const cv::Mat& grey, const MeasurementReport& report, const std::string& alt);
// The picture that was refused, with what can be seen of the sheet and of what lies in its channel, and the
// refusal's own lines with their letters.
Result<Markup> refused_picture(const cv::Mat& grey, const FaultMarks& marks,
                               const std::vector<PictureMark>& lines, const std::string& alt);
// The strip cut out and laid straight, its far end left, enlarged as told.
Result<Markup> strip_picture(const cv::Mat& grey, const MeasurementReport& report, const Enlarged& enlarged,
                             const std::string& alt);

// So that the taper, or its uncertainty where that is larger, fills a good part of the strip's width.
Enlarged enlarged_for_the_eye(const StripMeasurement& strip);

// <img> with the picture in it; `alt` is plain text.
Markup inline_picture(const Jpeg& jpeg, const std::string& alt);

}  // namespace tapersight
