#include "page/pictures.h"

#include <algorithm>
#include <cmath>

#include "base/markup.h"
#include "fence/fence_error.h"
#include "imaging/jpeg_file.h"
#include "page/svg_canvas.h"
#include "report/overlay_style.h"

namespace tapersight {
namespace {

constexpr int kQuality = 80;
constexpr double kBeyondMm = 4;      // of the ground shown beside the strip, as enlarged
constexpr double kEndPart = 0.02;    // of its length, beyond each end
constexpr double kShownWidth = 0.2;  // of the strip's length, across
constexpr double kShownTaper = 0.5;  // of the strip's width, over its length

Result<Jpeg> jpeg_of(const cv::Mat& pixels) {
  Result<std::string> bytes = encode_jpeg(pixels, kQuality);
  if (!bytes)
    return Failure{"page-not-drawn", "The picture could not be put into the page.",
                   "Measure without --report."};
  return Jpeg{std::move(*bytes), pixels.cols, pixels.rows};
}

double width_change_mm(const StripMeasurement& strip) {
  const double U = t_factor(kCoverage, strip.dof) * strip.u_taper;
  return std::max(std::abs(strip.taper), U) * strip.length_mm();
}

// To one digit, not above `value`; at least 1.
double round_down(double value) {
  const double power = std::pow(10, std::floor(std::log10(std::max(value, 1.0))));
  return std::max(1.0, std::floor(value / power) * power);
}

}  // namespace

Enlarged enlarged_for_the_eye(const StripMeasurement& strip) {
  const double width = strip.mean_width_mm();
  Enlarged enlarged;
  enlarged.across = std::clamp(std::floor(kShownWidth * strip.length_mm() / width), 1.0, 5.0);
  enlarged.lean = round_down(kShownTaper * width / width_change_mm(strip));
  return enlarged;
}

Result<Jpeg> small_picture(const cv::Mat& grey, int long_side_px) {
  return jpeg_of(reduce_picture(grey, long_side_px).grey);
}

Result<Markup> found_picture(const cv::Mat& grey, const MeasurementReport& report, const std::string& alt) {
  const ReducedPicture picture = reduce_picture(grey, kPagePicturePx);
  SvgCanvas canvas(picture.grey.cols, picture.grey.rows);
  draw_picture_panel(canvas, picture, 0, 0, report);
  return canvas.drawing(alt);
}

Result<Markup> refused_picture(const cv::Mat& grey, const FaultMarks& marks,
                               const std::vector<PictureMark>& lines, const std::string& alt) {
  namespace style = overlay_style;
  const ReducedPicture picture = reduce_picture(grey, kPagePicturePx);
  SvgCanvas canvas(picture.grey.cols, picture.grey.rows);
  canvas.picture(picture.grey, 0, 0);
  const auto outline = [&](const std::vector<Eigen::Vector2d>& corners, const Colour& colour) {
    std::vector<PointPx> points;
    for (const Eigen::Vector2d& corner : corners) points.push_back(picture.at(corner));
    canvas.polygon(points, style::kPanel, 6);
    canvas.polygon(points, colour, 3.5);
  };
  for (const Eigen::Vector2d& point : marks.seen_px) canvas.ring(picture.at(point), 5, style::kSheet, 2);
  if (!marks.channel_px.empty()) outline(marks.channel_px, style::kSheet);
  for (const Eigen::Vector2d& point : marks.missing_px) {
    canvas.cross(picture.at(point), 8, style::kPanel, 6);
    canvas.cross(picture.at(point), 8, style::kLeftOut, 3.5);
  }
  const TextStyle in_a_dot{28, style::kPanel, TextAlign::kCentre, true};
  // The letters stand one below the other along the strip, so that those of near lines do not meet.
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const PointPx from = picture.at({lines[i].from_u, lines[i].from_v});
    const PointPx to = picture.at({lines[i].to_u, lines[i].to_v});
    canvas.line({from, to}, style::kPanel, 4);
    canvas.line({from, to}, style::kLeftOut, 2);
    const double at = (static_cast<double>(i) + 1) / (static_cast<double>(lines.size()) + 1);
    const PointPx place{from.x + at * (to.x - from.x), from.y + at * (to.y - from.y)};
    canvas.dot(place, 20, style::kLeftOut);
    canvas.text({place.x, place.y + 10}, lines[i].label, in_a_dot);
  }
  // What the refusal is about are its lines, if it has any, and not the pieces.
  for (std::size_t i = 0; lines.empty() && i < marks.pieces_px.size(); ++i) {
    outline(marks.pieces_px[i], style::kLeftOut);
    PointPx middle;
    for (const Eigen::Vector2d& corner : marks.pieces_px[i]) {
      middle.x += picture.at(corner).x / 4;
      middle.y += picture.at(corner).y / 4;
    }
    canvas.dot(middle, 22, style::kLeftOut);
    canvas.text({middle.x, middle.y + 10}, std::to_string(i + 1), in_a_dot);
  }
  return canvas.drawing(alt);
}

Result<Markup> strip_picture(const cv::Mat& grey, const MeasurementReport& report, const Enlarged& enlarged,
                             const std::string& alt) {
  const StripMeasurement& strip = report.measurement->strip;
  const double margin_mm = kEndPart * strip.length_mm();
  const double px_per_mm = kPagePicturePx / (strip.length_mm() + 2 * margin_mm);
  const double width_mm =
      enlarged.across * (strip.mean_width_mm() + enlarged.lean * std::abs(strip.taper) * strip.length_mm());
  const int height = static_cast<int>(std::ceil((width_mm + 2 * kBeyondMm) * px_per_mm));
  SvgCanvas canvas(kPagePicturePx, height);
  const AlongAxis axis{strip.far_mm - margin_mm, strip.fence_mm + margin_mm, 0, kPagePicturePx};
  draw_strip_panel(canvas, {grey, 1}, {0, 0, kPagePicturePx, static_cast<double>(height)}, axis,
                   *report.measurement, enlarged);
  return canvas.drawing(alt);
}

Markup inline_picture(const Jpeg& jpeg, const std::string& alt) {
  return element("img", {{"src", "data:image/jpeg;base64," + base64(jpeg.bytes)},
                         {"width", std::to_string(jpeg.width_px)},
                         {"height", std::to_string(jpeg.height_px)},
                         {"alt", alt}});
}

}  // namespace tapersight
