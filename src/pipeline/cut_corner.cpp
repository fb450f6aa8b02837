#include "pipeline/cut_corner.h"

#include <cmath>
#include <vector>

namespace tapersight {
namespace {

constexpr double kLegMm = 4;           // of the triangle that is looked at
constexpr double kEdgeMm = 0.8;        // left out along end and side: blur, and an end that is not square
constexpr double kLeastContrast = 24;  // code values between strip and ground
constexpr double kLeastShare = 0.85;   // of the triangle's points that look like ground

double line_at(const EdgeFit& edge, double position_mm) {
  return edge.level_mm + edge.lean * position_mm;
}

// Looks at one corner: distances in mm inward from the strip's end and from its side.
class Corner {
 public:
  Corner(const cv::Mat& grey, const PictureMeasurement& m, bool fence_end, int side)
      : grey_(grey), m_(m), fence_end_(fence_end), side_(side) {}

  bool is_missing() const {
    const double face = mean(6, 20, 1, 4);
    const double ground = (mean(-4, -2, 1, 4) + mean(6, 20, -4, -2)) / 2;
    if (!(std::abs(face - ground) >= kLeastContrast)) return false;  // also for a place outside the picture
    int all = 0, like_ground = 0;
    for (double a = kEdgeMm; a < kLegMm; a += 0.25)
      for (double b = kEdgeMm; a + b < kLegMm; b += 0.25) {
        const double here = code(a, b);
        ++all;
        like_ground += std::abs(here - ground) < std::abs(here - face);
      }
    return like_ground >= kLeastShare * all;
  }

 private:
  double code(double from_end_mm, double from_side_mm) const {
    const StripMeasurement& s = m_.strip;
    const double position = fence_end_ ? s.fence_mm - from_end_mm : s.far_mm + from_end_mm;
    const double inward = side_ == 0 ? from_side_mm : -from_side_mm;
    const Eigen::Vector2d across(s.along.y(), -s.along.x());
    const Eigen::Vector2d px = m_.map.picture_from_sheet(
        s.centre_mm + position * s.along + (line_at(s.edges[side_], position) + inward) * across);
    const cv::Point at(static_cast<int>(std::lround(px.x())), static_cast<int>(std::lround(px.y())));
    return cv::Rect({0, 0}, grey_.size()).contains(at) ? grey_.at<unsigned char>(at) : std::nan("");
  }

  double mean(double end_from, double end_to, double side_from, double side_to) const {
    double sum = 0;
    int n = 0;
    for (double a = end_from; a <= end_to; a += 0.5)
      for (double b = side_from; b <= side_to; b += 0.5) sum += code(a, b), ++n;
    return sum / n;
  }

  const cv::Mat& grey_;
  const PictureMeasurement& m_;
  bool fence_end_;
  int side_;
};

}  // namespace

CutCorner find_cut_corner(const cv::Mat& grey, const PictureMeasurement& measured) {
  int missing = 0;
  CutCorner where = CutCorner::kNone;
  for (const bool fence_end : {false, true})
    for (int side = 0; side < 2; ++side)
      if (Corner(grey, measured, fence_end, side).is_missing()) {
        ++missing;
        where = fence_end ? CutCorner::kFenceEnd : CutCorner::kFarEnd;
      }
  return missing == 1 ? where : CutCorner::kNone;
}

}  // namespace tapersight
