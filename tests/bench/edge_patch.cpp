#include "bench/edge_patch.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "edges/trace_edges.h"
#include "imaging/blurred_step.h"
#include "synth/coverage.h"
#include "synth/roughness.h"
#include "synth/sensor.h"

namespace tapersight::testing {
namespace {

constexpr double kMarginPx = 30;

// Gauss-Legendre, 5 points, on -1/2..1/2.
constexpr double kNodes[5] = {-0.4530899229693320, -0.2692346550528416, 0, 0.2692346550528416,
                              0.4530899229693320};
constexpr double kWeights[5] = {0.1184634425280945, 0.2393143352496832, 0.2844444444444444,
                                0.2393143352496832, 0.1184634425280945};

double middle_row(const EdgePatch& patch) {
  return (patch.lines - 1) / 2.0;
}

// Part of a pixel's light that comes from right of a straight edge `x` columns left of its centre.
double right_of(double x, double lean, double blur_px) {
  const double blur = blur_px * std::hypot(1, lean);  // along the row
  if (std::abs(x) > 6 * blur + std::abs(lean) + 1) return x > 0 ? 1 : 0;
  double sum = 0;
  for (int k = 0; k < 5; ++k) sum += kWeights[k] * BlurredStep::exact(x - lean * kNodes[k], blur).value;
  return sum;
}

double face_light(const EdgePatch& patch, int row) {
  const double t = row - middle_row(patch);
  return patch.face * (1 + patch.face_drift * t / patch.lines) *
         (1 + patch.saw_contrast * std::cos(2 * M_PI * t / patch.saw_period_px));
}

// Parts of the pixels that lie right of the left and right of the right edge.
std::array<cv::Mat, 2> straight_parts(const EdgePatch& patch) {
  std::array<cv::Mat, 2> parts;
  for (int side = 0; side < 2; ++side) {
    cv::Mat& part = parts[static_cast<std::size_t>(side)];
    part.create(patch.size(), CV_32FC1);
    for (int v = 0; v < part.rows; ++v) {
      const double at = patch.place(side) + patch.lean(side) * (v - middle_row(patch));
      for (int u = 0; u < part.cols; ++u)
        part.at<float>(v, u) = static_cast<float>(right_of(u - at, patch.lean(side), patch.blur_px));
    }
  }
  return parts;
}

std::array<cv::Mat, 2> rough_parts(const EdgePatch& patch) {
  constexpr double kStepMm = 0.02;
  const double spare_px = 40;
  const auto count = static_cast<std::size_t>((patch.lines + 2 * spare_px) * patch.mm_per_px() / kStepMm) + 2;
  std::array<cv::Mat, 2> parts;
  for (int side = 0; side < 2; ++side) {
    const RoughnessModel model = {patch.roughness_um / 1000, patch.correlation_mm, patch.gaussian};
    const auto profile =
        rough_profile(model, kStepMm, count, stream_seed(patch.seed, side == 0 ? "left" : "right"));
    Outline outline;
    for (std::size_t i = 0; i < count; ++i) {
      const double v = -spare_px + static_cast<double>(i) * kStepMm / patch.mm_per_px();
      outline.points.emplace_back(
          patch.place(side) + patch.lean(side) * (v - middle_row(patch)) + profile[i] / patch.mm_per_px(), v);
    }
    const double far = patch.size().width + spare_px;
    const double last = outline.points.back().y();
    outline.points.emplace_back(far, last);
    outline.points.emplace_back(far, -spare_px);
    cv::Mat& part = parts[static_cast<std::size_t>(side)];
    part = cv::Mat::zeros(patch.size(), CV_32FC1);
    const Coverage cover = cover_px({outline}, cv::Rect({0, 0}, patch.size()));
    cover.area.copyTo(part(cover.roi));
    cv::GaussianBlur(part, part, {}, patch.blur_px, patch.blur_px, cv::BORDER_REPLICATE);
  }
  return parts;
}

// What a scanner's "sharpen" does: in code values.
cv::Mat sharpened(const EdgePatch& patch, const cv::Mat& light) {
  cv::Mat codes(light.size(), CV_32FC1);
  for (int v = 0; v < light.rows; ++v)
    for (int u = 0; u < light.cols; ++u)
      codes.at<float>(v, u) =
          static_cast<float>(code_of_light(patch.encoding, double{light.at<float>(v, u)}));
  cv::Mat soft;
  cv::GaussianBlur(codes, soft, {}, patch.halo_px);
  cv::Mat result(light.size(), CV_32FC1);
  for (int v = 0; v < light.rows; ++v)
    for (int u = 0; u < light.cols; ++u) {
      const double code =
          double{codes.at<float>(v, u)} + patch.halo * double{codes.at<float>(v, u) - soft.at<float>(v, u)};
      result.at<float>(v, u) =
          static_cast<float>(light_of_code(patch.encoding, std::clamp(code, 0.0, 255.0)));
    }
  return result;
}

PlaneMap map_of(const EdgePatch& patch) {
  const cv::Size size = patch.size();
  PlaneMap map;
  map.centre_px = {(size.width - 1) / 2.0, (size.height - 1) / 2.0};
  map.scale_px = {size.width / 2.0, size.height / 2.0};
  map.coefficients = Eigen::MatrixX2d::Zero(3, 2);
  map.coefficients(1, 0) = size.width / 2.0 * patch.mm_per_px();
  map.coefficients(2, 1) = size.height / 2.0 * patch.mm_per_px();
  map.unit_covariance = Eigen::MatrixXd::Zero(3, 3);
  return map;
}

// The strip as a search would hand it on: both sides moved outward by 0.4 px.
StripOutline outline_of(const EdgePatch& patch, const PlaneMap& map) {
  const double lean = (patch.lean(0) + patch.lean(1)) / 2;
  StripOutline outline;
  outline.along = Eigen::Vector2d(lean, 1).normalized();
  outline.centre_mm = map.sheet_from_picture({(patch.place(0) + patch.place(1)) / 2, middle_row(patch)});
  const double half = patch.lines / 2.0 * patch.mm_per_px() * std::hypot(1, lean);
  outline.far_mm = -half;
  outline.fence_mm = half;
  for (int side = 0; side < 2; ++side) {
    const Eigen::Vector2d at =
        map.sheet_from_picture({patch.place(side), middle_row(patch)}) - outline.centre_mm;
    const Eigen::Vector2d way(patch.lean(side), 1);
    const double side_lean = way.dot(outline.across()) / way.dot(outline.along);
    outline.side_lean[side] = side_lean;
    outline.side_at_mm[side] = at.dot(outline.across()) - side_lean * at.dot(outline.along) +
                               (side == 0 ? -0.4 : 0.4) * patch.mm_per_px();
  }
  return outline;
}

// Columns from the true edge to the measured one at the middle row.
double displacement_px(const EdgePatch& patch, const StripMeasurement& strip, const PlaneMap& map, int side) {
  // The measured line: centre + across * (level + lean * p) + along * p, for any p near the middle.
  const EdgeFit& edge = strip.edges[side];
  const Eigen::Vector2d across(strip.along.y(), -strip.along.x());
  const Eigen::Vector2d true_mm = map.sheet_from_picture({patch.place(side), middle_row(patch)});
  const Eigen::Vector2d d = true_mm - strip.centre_mm;
  const double p = d.dot(strip.along);
  const double off = edge.level_mm + edge.lean * p - d.dot(across);
  return off * std::hypot(1, patch.lean(side)) / patch.mm_per_px();
}

}  // namespace

double EdgePatch::lean(int side) const {
  const double left = tilt_deg * M_PI / 180;
  return std::tan(side == 0 ? left : left + 2 * std::atan(taper / 2));
}

double EdgePatch::place(int side) const {
  const double room = lines / 2.0 * std::max(std::abs(lean(0)), std::abs(lean(1)));
  return std::ceil(kMarginPx + room) + phase_px + (side == 0 ? 0 : width_px);
}

cv::Size EdgePatch::size() const {
  const double room = lines / 2.0 * std::max(std::abs(lean(0)), std::abs(lean(1)));
  return {static_cast<int>(std::ceil(2 * (kMarginPx + room) + width_px)) + 2, lines};
}

cv::Mat patch_light(const EdgePatch& patch) {
  const auto parts = patch.roughness_um > 0 ? rough_parts(patch) : straight_parts(patch);
  cv::Mat light(patch.size(), CV_32FC1);
  for (int v = 0; v < light.rows; ++v) {
    const double face = face_light(patch, v);
    for (int u = 0; u < light.cols; ++u)
      light.at<float>(v, u) =
          static_cast<float>(patch.ground[0] + (face - patch.ground[0]) * double{parts[0].at<float>(v, u)} +
                             (patch.ground[1] - face) * double{parts[1].at<float>(v, u)});
  }
  return patch.halo > 0 ? sharpened(patch, light) : light;
}

cv::Mat patch_codes(const EdgePatch& patch, const cv::Mat& light, double noise_levels, std::uint64_t seed) {
  cv::Mat codes = encode(light, patch.encoding, noise_levels, seed);
  if (patch.encoding.jpeg_quality > 0) {
    std::vector<uchar> bytes;
    cv::imencode(".jpg", codes, bytes, {cv::IMWRITE_JPEG_QUALITY, patch.encoding.jpeg_quality});
    codes = cv::imdecode(bytes, cv::IMREAD_GRAYSCALE);
  }
  return codes;
}

PatchResult measure_patch(const EdgePatch& patch, const cv::Mat& codes) {
  const PlaneMap map = map_of(patch);
  const StripOutline outline = outline_of(patch, map);
  const ScanLines lines(codes, true);
  TraceOptions trace_options;
  trace_options.px_per_mm = 1 / patch.mm_per_px();
  trace_options.blur_px[0] = trace_options.blur_px[1] = std::max(0.5, 1.1 * patch.blur_px);
  const EdgeTrace trace =
      trace_edges(lines, SidePath(lines, map, outline, 0), SidePath(lines, map, outline, 1), trace_options);
  StripFitOptions fit;
  fit.pixel_mm = patch.mm_per_px();
  fit.ratio_u = 0;  // the map is exact
  const auto strip = measure_strip(trace, map, outline, fit);
  PatchResult result;
  if (!strip) return result;
  result.measured = true;
  result.taper_error = strip->taper - patch.taper;
  result.u = strip->u_taper;
  result.dof = strip->dof;
  for (int side = 0; side < 2; ++side)
    result.edge_px[static_cast<std::size_t>(side)] = displacement_px(patch, *strip, map, side);
  result.used_px = (outline.length_mm() - 2 * fit.end_margin_mm) / patch.mm_per_px();
  return result;
}

}  // namespace tapersight::testing
