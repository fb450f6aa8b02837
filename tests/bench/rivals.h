// General-purpose edge locators on the same task, for comparison. Each gets from us what it does not have:
// the map from the sheet's saddles, and the strip's rough sides; it then has only to say where the two edges
// run.
#pragma once
#include <optional>
#include <string>

namespace tapersight::testing {

// OpenCV's line segment detector (cv::createLineSegmentDetector) in the channel; segments within 0.4 mm of a
// rough side make its line.
std::optional<double> segment_detector_taper(const std::string& path);

// ViSP's moving-edge line tracker (vpMeLine) started on the rough sides; its sites make the lines. Nothing
// when it was not built in.
bool has_line_tracker();
std::optional<double> line_tracker_taper(const std::string& path);

}  // namespace tapersight::testing
