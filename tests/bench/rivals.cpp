#include "bench/rivals.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "edges/find_strip.h"
#include "target/find_sheet.h"
#include "target/fit_plane.h"
#ifdef TAPERSIGHT_VISP
#include <visp3/me/vpMeLine.h>
#endif

namespace tapersight::testing {
namespace {

constexpr double kEndsMm = 4;    // left out at each end
constexpr double kNearMm = 0.4;  // of a rough side

// What each rival is given.
struct RoughStrip {
  cv::Mat grey;  // the channel only ...
  cv::Point corner;
  PlaneMap map;  // ... but the whole picture's pixels
  StripOutline outline;

  Eigen::Vector2d sheet(double u, double v) const {
    return map.sheet_from_picture({u + corner.x, v + corner.y});
  }
};

std::optional<RoughStrip> rough_strip(const std::string& path) {
  RoughStrip strip;
  const cv::Mat whole = cv::imread(path, cv::IMREAD_GRAYSCALE);
  const auto sheet = find_sheet(whole);
  if (!sheet) return std::nullopt;
  const auto plane = fit_plane(sheet->saddles);
  if (!plane) return std::nullopt;
  strip.map = plane->map;
  const RectMm& channel = sheet->layout->channel;
  StripSearch search;
  search.low_mm = {channel.x, channel.y};
  search.high_mm = {channel.right(), channel.bottom()};
  const auto outline = find_strip(whole, strip.map, search);
  if (!outline) return std::nullopt;
  strip.outline = *outline;
  std::vector<cv::Point> corners;
  for (const double x : {channel.x, channel.right()})
    for (const double y : {channel.y, channel.bottom()}) {
      const Eigen::Vector2d p = strip.map.picture_from_sheet({x, y});
      corners.emplace_back(static_cast<int>(p.x()), static_cast<int>(p.y()));
    }
  const cv::Rect region = cv::boundingRect(corners) & cv::Rect({0, 0}, whole.size());
  strip.grey = whole(region).clone();
  strip.corner = region.tl();
  return strip;
}

// Points of one side, (along, across) in the outline's frame, mm.
using SidePoints = std::vector<cv::Point2f>;

void add_if_near(const RoughStrip& strip, const Eigen::Vector2d& sheet_mm, int side, SidePoints& points) {
  const StripOutline& o = strip.outline;
  const Eigen::Vector2d d = sheet_mm - o.centre_mm;
  const double along = d.dot(o.along);
  const double across = d.dot(o.across()) - o.side_at_mm[side] - o.side_lean[side] * along;
  if (along < o.far_mm + kEndsMm || along > o.fence_mm - kEndsMm || std::abs(across) > kNearMm) return;
  points.emplace_back(static_cast<float>(along), static_cast<float>(across));
}

std::optional<double> taper_of(const RoughStrip& strip, const SidePoints (&sides)[2]) {
  double lean[2];
  for (int side = 0; side < 2; ++side) {
    if (sides[side].size() < 30) return std::nullopt;
    cv::Vec4f line;
    cv::fitLine(sides[side], line, cv::DIST_HUBER, 0, 1e-4, 1e-6);
    lean[side] = strip.outline.side_lean[side] + double{line[1]} / double{line[0]};
  }
  return lean[1] - lean[0];
}

}  // namespace

std::optional<double> segment_detector_taper(const std::string& path) {
  const auto strip = rough_strip(path);
  if (!strip) return std::nullopt;
  std::vector<cv::Vec4f> segments;
  cv::createLineSegmentDetector(cv::LSD_REFINE_STD)->detect(strip->grey, segments);
  SidePoints sides[2];
  for (const cv::Vec4f& s : segments) {
    const Eigen::Vector2d from = strip->sheet(double{s[0]}, double{s[1]});
    const Eigen::Vector2d to = strip->sheet(double{s[2]}, double{s[3]});
    const double length = (to - from).norm();
    if (length < 2 || std::abs((to - from).dot(strip->outline.along)) < 0.999 * length) continue;
    for (double t = 0.25; t < length; t += 0.5)
      for (int side = 0; side < 2; ++side)
        add_if_near(*strip, from + (to - from) * (t / length), side, sides[side]);
  }
  return taper_of(*strip, sides);
}

#ifdef TAPERSIGHT_VISP

bool has_line_tracker() {
  return true;
}

std::optional<double> line_tracker_taper(const std::string& path) {
  const auto strip = rough_strip(path);
  if (!strip) return std::nullopt;
  vpImage<unsigned char> image(static_cast<unsigned>(strip->grey.rows),
                               static_cast<unsigned>(strip->grey.cols));
  for (int v = 0; v < strip->grey.rows; ++v)
    std::copy_n(strip->grey.ptr<uchar>(v), strip->grey.cols, image[v]);
  vpMe settings;
  settings.setRange(12);
  settings.setMaskSize(5);
  settings.setMaskNumber(180);
  settings.setThreshold(1500);
  settings.setMu1(0.5);
  settings.setMu2(0.5);
  settings.setSampleStep(3);
  SidePoints sides[2];
  for (int side = 0; side < 2; ++side) {
    const auto end = [&](double position) {
      const Eigen::Vector2d p = strip->map.picture_from_sheet(strip->outline.on_side(side, position));
      return vpImagePoint(p.y() - strip->corner.y, p.x() - strip->corner.x);
    };
    vpMeLine line;
    line.setMe(&settings);
    try {
      line.initTracking(image, end(strip->outline.far_mm + kEndsMm), end(strip->outline.fence_mm - kEndsMm));
      line.track(image);
    } catch (const vpException&) {
      return std::nullopt;
    }
    for (const vpMeSite& site : line.getMeList())
      if (site.getState() == vpMeSite::NO_SUPPRESSION)
        add_if_near(*strip, strip->sheet(site.jfloat, site.ifloat), side, sides[side]);
  }
  return taper_of(*strip, sides);
}

#else

bool has_line_tracker() {
  return false;
}

std::optional<double> line_tracker_taper(const std::string&) {
  return std::nullopt;
}

#endif

}  // namespace tapersight::testing
