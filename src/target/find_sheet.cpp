#include "target/find_sheet.h"

#include <Eigen/Cholesky>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <opencv2/aruco.hpp>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "imaging/parallel.h"
#include "imaging/quality.h"
#include "imaging/saddle_fit.h"
#include "numeric/descriptive.h"
#include "target/thin_out.h"

namespace tapersight {
namespace {

constexpr int kDarkCode = 70;  // 6 % of full light
constexpr double kLeastLightPart = 0.005;

struct SeenMarker {
  const SheetLayout* layout;
  const Marker* marker;
  std::vector<cv::Point2f> corners;  // full-picture px, clockwise from the printed top left
};

struct Reduced {
  cv::Mat grey;
  double scale = 1;  // full px per reduced px
  cv::Point2f to_full(const cv::Point2f& p) const {
    const cv::Point2d centre = (cv::Point2d(p) + cv::Point2d(0.5, 0.5)) * scale - cv::Point2d(0.5, 0.5);
    return {static_cast<float>(centre.x), static_cast<float>(centre.y)};
  }
};

Reduced reduce_to(const cv::Mat& grey, int long_side) {
  Reduced r;
  const int longest = std::max(grey.cols, grey.rows);
  r.scale = static_cast<double>(longest) / long_side;
  if (r.scale > 0.75 && r.scale < 1.3) {
    r.scale = 1;
    r.grey = grey;
    return r;
  }
  // A whole factor keeps the averaging the same for every pixel.
  if (r.scale > 1) r.scale = std::round(r.scale);
  const int width = std::max(1, static_cast<int>(std::floor(grey.cols / r.scale)));
  const int height = std::max(1, static_cast<int>(std::floor(grey.rows / r.scale)));
  const cv::Rect used(0, 0, std::clamp(static_cast<int>(width * r.scale), 1, grey.cols),
                      std::clamp(static_cast<int>(height * r.scale), 1, grey.rows));
  // Halving is what OpenCV does fastest.
  cv::Mat source = grey(used);
  while (source.cols >= 2 * width && source.cols % 2 == 0 && source.rows % 2 == 0 &&
         source.cols / 2 % width == 0)
    cv::resize(cv::Mat(source), source, {source.cols / 2, source.rows / 2}, 0, 0, cv::INTER_AREA);
  if (source.size() == cv::Size(width, height))
    r.grey = source;
  else
    cv::resize(source, r.grey, {width, height}, 0, 0, r.scale > 1 ? cv::INTER_AREA : cv::INTER_LINEAR);
  return r;
}

const Marker* marker_of(int id, const SheetLayout** layout) {
  for (const SheetLayout* l : all_sheet_layouts()) {
    const int first = l->markers.front().id;
    if (id >= first && id < first + static_cast<int>(l->markers.size())) {
      *layout = l;
      return &l->markers[static_cast<std::size_t>(id - first)];
    }
  }
  return nullptr;
}

SeenTag seen_tag(int id, const std::vector<cv::Point2f>& corners, const Reduced& reduced) {
  SeenTag tag;
  tag.bench = id - kFirstTagMarker;
  for (std::size_t k = 0; k < 4; ++k) {
    const cv::Point2f p = reduced.to_full(corners[k]);
    tag.corners_px[k] = Eigen::Vector2d(p.x, p.y);
  }
  return tag;
}

// Windows of the adaptive threshold: a wide one does on an even picture, a narrow one helps with shadows.
enum class Look { kQuick, kThorough };

// The smallest outline of a marker, over the picture's long side: a sheet that fills the frame has larger
// ones; where that has found nothing, a sheet that fills a third of it.
constexpr double kLeastOutline = 0.02, kLeastOutlineFar = 0.01;
constexpr double kMostOutline = 0.5;

// What is left to be searched; an empty picture when nothing in it may be a marker.
Reduced thinned(const Reduced& reduced, double least_outline) {
  const double longest = std::max(reduced.grey.cols, reduced.grey.rows);
  return {thinned_out(reduced.grey, {least_outline * longest, kMostOutline * longest}), reduced.scale};
}

// `tags`, when wanted, gets the tags that were seen as well.
std::vector<SeenMarker> see_markers(const Reduced& reduced, Look look, double least_outline,
                                    std::vector<SeenTag>* tags = nullptr) {
  if (reduced.grey.empty()) return {};
  const auto dictionary = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000);
  const auto parameters = cv::aruco::DetectorParameters::create();
  parameters->cornerRefinementMethod = cv::aruco::CORNER_REFINE_NONE;
  parameters->minMarkerPerimeterRate = least_outline;
  parameters->maxMarkerPerimeterRate = kMostOutline;
  parameters->adaptiveThreshWinSizeMin = look == Look::kQuick ? 23 : 7;
  parameters->adaptiveThreshWinSizeMax = 23;
  parameters->adaptiveThreshWinSizeStep = 16;
  parameters->errorCorrectionRate = 0.4;
  std::vector<std::vector<cv::Point2f>> corners;
  std::vector<int> ids;
  cv::aruco::detectMarkers(reduced.grey, dictionary, corners, ids, parameters);
  std::vector<SeenMarker> seen;
  for (std::size_t i = 0; i < ids.size(); ++i) {
    if (tags && ids[i] > kFirstTagMarker) tags->push_back(seen_tag(ids[i], corners[i], reduced));
    SeenMarker m{};
    m.marker = marker_of(ids[i], &m.layout);
    if (!m.marker) continue;
    for (const auto& c : corners[i]) m.corners.push_back(reduced.to_full(c));
    seen.push_back(m);
  }
  return seen;
}

// Only the markers of the sheet that most of them belong to.
void keep_one_layout(std::vector<SeenMarker>& seen) {
  std::map<int, int> votes;
  for (const SeenMarker& m : seen) ++votes[m.layout->markers.front().id];
  const auto best = std::max_element(votes.begin(), votes.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; });
  if (best == votes.end()) return;
  seen.erase(std::remove_if(seen.begin(), seen.end(),
                            [&](const SeenMarker& m) { return m.layout->markers.front().id != best->first; }),
             seen.end());
}

// Nothing more to see: every marker of a sheet for one strip. A wide sheet has tags on it besides.
bool all_seen(const std::vector<SeenMarker>& seen) {
  const SheetLayout& layout = *seen.front().layout;
  return layout.kind == Channel::kOneStrip && seen.size() >= layout.markers.size();
}

// A rough picture_from_sheet homography from the markers' corners (which wander with blur by half a pixel or
// so).
std::optional<cv::Matx33d> rough_homography(const std::vector<SeenMarker>& seen, double tolerance_px,
                                            int* agreeing) {
  std::vector<cv::Point2f> sheet;
  std::vector<cv::Point2f> picture;
  for (const SeenMarker& m : seen) {
    const double h = m.marker->side_mm / 2;
    const double corner[4][2] = {{-h, -h}, {h, -h}, {h, h}, {-h, h}};
    for (int k = 0; k < 4; ++k) {
      sheet.emplace_back(static_cast<float>(m.marker->centre_mm.x() + corner[k][0]),
                         static_cast<float>(m.marker->centre_mm.y() + corner[k][1]));
      picture.push_back(m.corners[static_cast<std::size_t>(k)]);
    }
  }
  if (sheet.size() < 8) return std::nullopt;
  std::vector<uchar> inlier;
  const cv::Mat h = cv::findHomography(sheet, picture, cv::RANSAC, tolerance_px, inlier, 2000, 0.999);
  if (h.empty()) return std::nullopt;
  *agreeing = static_cast<int>(std::count(inlier.begin(), inlier.end(), 1)) / 4;
  return cv::Matx33d(h);
}

Eigen::Vector2d through(const cv::Matx33d& h, const Eigen::Vector2d& p) {
  const cv::Vec3d q = h * cv::Vec3d(p.x(), p.y(), 1);
  return {q[0] / q[2], q[1] / q[2]};
}

// Smooth displacement between the rough homography's prediction and what was found nearby (lens, carriage),
// so that the next window is centred well: a plane through the few nearest found points.
struct Displacements {
  std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> at_mm_shift_px;
  Eigen::Vector2d near(const Eigen::Vector2d& at_mm) const {
    constexpr double kNearMm2 = 25;
    // Where all points lie in one row, the plane is level across it.
    Eigen::Matrix3d normal = Eigen::Vector3d(0, 1, 1).asDiagonal() * (1e-2 / kNearMm2);
    Eigen::Matrix<double, 3, 2> right = Eigen::Matrix<double, 3, 2>::Zero();
    for (const auto& [p, shift] : at_mm_shift_px) {
      const Eigen::Vector2d d = p - at_mm;
      const double w = kNearMm2 / (kNearMm2 + d.squaredNorm());
      const Eigen::Vector3d basis(1, d.x(), d.y());
      normal += w * w * basis * basis.transpose();
      right += w * w * basis * shift.transpose();
    }
    if (at_mm_shift_px.empty()) return Eigen::Vector2d::Zero();
    return normal.ldlt().solve(right).row(0).transpose();
  }
};

// A window of at most 1.6 mm about a saddle, so that neither the marker nor the rim's end is in it; at least
// what the blur needs. In an oblique photo the sheet is finer one way than the other.
int window_radius_px(const Eigen::Vector2d& ex, const Eigen::Vector2d& ey, int most) {
  Eigen::Matrix2d px_by_mm;
  px_by_mm << ex, ey;
  const Eigen::JacobiSVD<Eigen::Matrix2d> svd(px_by_mm);
  constexpr double kLeast = 5, kReachMm = 1.6;
  return static_cast<int>(std::clamp(kReachMm * svd.singularValues()[1], kLeast, static_cast<double>(most)));
}

std::optional<SaddleFit> fit_one(const cv::Mat& grey, const cv::Matx33d& h, const Saddle& saddle,
                                 const Eigen::Vector2d& at_px, double blur_px, int most_radius_px) {
  const Eigen::Vector2d centre = through(h, saddle.at_mm);
  const Eigen::Vector2d ex = through(h, saddle.at_mm + Eigen::Vector2d(1, 0)) - centre;
  const Eigen::Vector2d ey = through(h, saddle.at_mm + Eigen::Vector2d(0, 1)) - centre;
  SaddleGuess guess;
  guess.at_px = at_px;
  guess.angle_1 = std::atan2(ex.y(), ex.x());
  guess.angle_2 = std::atan2(ey.y(), ey.x());
  guess.dark_first = saddle.ink_upper_left;
  guess.blur_px = blur_px;
  guess.radius_px = window_radius_px(ex, ey, most_radius_px);
  return fit_saddle(grey, guess);
}

constexpr int kCoarseRadiusPx = 16, kRadiusPx = 12;  // of the window about a saddle, at most
constexpr std::size_t kCoarseEach = 3;  // every third saddle shows the smooth displacements well enough

// Displacements from the saddles as fitted in the reduced picture.
Displacements coarse_displacements(const Reduced& reduced, const SheetLayout& layout, const cv::Matx33d& h) {
  const double s = reduced.scale;
  const cv::Matx33d to_reduced(1 / s, 0, 0.5 / s - 0.5, 0, 1 / s, 0.5 / s - 0.5, 0, 0, 1);
  const cv::Matx33d h_reduced = to_reduced * h;
  Displacements found;
  for (std::size_t i = 0; i < layout.saddles.size(); i += kCoarseEach) {
    const Saddle& saddle = layout.saddles[i];
    const Eigen::Vector2d predicted = through(h_reduced, saddle.at_mm);
    if (const auto fit = fit_one(reduced.grey, h_reduced, saddle, predicted, 1.0, kCoarseRadiusPx))
      found.at_mm_shift_px.emplace_back(saddle.at_mm, s * (fit->at_px - predicted));
  }
  return found;
}

constexpr std::size_t kBlurEach = 17;  // so many saddles on, the blur is learnt again

Displacements displacements_of(const std::vector<std::optional<SaddleFit>>& fits, const SheetLayout& layout,
                               const cv::Matx33d& h) {
  Displacements found;
  for (std::size_t k = 0; k < fits.size(); ++k)
    if (fits[k])
      found.at_mm_shift_px.emplace_back(layout.saddles[k].at_mm,
                                        fits[k]->at_px - through(h, layout.saddles[k].at_mm));
  return found;
}

FoundSheet fit_saddles(const cv::Mat& grey, const SheetLayout& layout, const cv::Matx33d& h,
                       Displacements shift, double px_per_mm) {
  FoundSheet found;
  found.layout = &layout;
  found.saddles_printed = static_cast<int>(layout.saddles.size());
  found.px_per_mm = px_per_mm;
  const auto fit_at = [&](std::size_t k, double blur) {
    const Saddle& saddle = layout.saddles[k];
    return fit_one(grey, h, saddle, through(h, saddle.at_mm) + shift.near(saddle.at_mm), blur, kRadiusPx);
  };
  // A few in turn, each starting from the blur of the one before; then all from their median.
  std::vector<double> blurs;
  for (std::size_t k = 0; k < layout.saddles.size(); k += kBlurEach)
    if (const auto fit = fit_at(k, blurs.empty() ? 1 : blurs.back())) blurs.push_back(fit->blur_px);
  const double usual_blur = blurs.empty() ? 1 : median(blurs);
  std::vector<std::optional<SaddleFit>> fits(layout.saddles.size());
  // All; then those that were not found once more from what their neighbours have shown, as long as that
  // finds any.
  std::vector<std::size_t> missing(fits.size());
  std::iota(missing.begin(), missing.end(), 0U);
  for (std::size_t before = missing.size() + 1; !missing.empty() && missing.size() < before;) {
    before = missing.size();
    in_parallel(static_cast<int>(before), [&](int i) {
      const std::size_t k = missing[static_cast<std::size_t>(i)];
      fits[k] = fit_at(k, usual_blur);
    });
    missing.erase(
        std::remove_if(missing.begin(), missing.end(), [&](std::size_t k) { return fits[k].has_value(); }),
        missing.end());
    shift = displacements_of(fits, layout, h);
  }
  blurs.clear();
  std::vector<double> contrasts;
  for (std::size_t k = 0; k < fits.size(); ++k) {
    if (!fits[k]) continue;
    const Saddle& saddle = layout.saddles[k];
    found.saddles.push_back(
        {fits[k]->at_px, saddle.at_mm, saddle.block, saddle.row, saddle.column, fits[k]->blur_px});
    blurs.push_back(fits[k]->blur_px);
    contrasts.push_back(fits[k]->contrast);
  }
  found.blur_px = blurs.empty() ? 0 : median(std::move(blurs));
  found.contrast = contrasts.empty() ? 0 : median(std::move(contrasts));
  return found;
}

Failure over_exposed() {
  return {"saturated", "The picture is over-exposed: most of it is plain white.",
          "Turn the scanner's automatic brightness off, or make the picture darker."};
}

// Is next to nothing brighter than a deep shadow, though something shows?
bool under_exposed(const cv::Mat& grey) {
  return cv::countNonZero(grey >= kDarkCode) < kLeastLightPart * static_cast<double>(grey.total()) &&
         assess_quality(grey).spread_codes >= 6;
}

// So small, px a side, that blur hides most of their codes: nothing covers the others.
constexpr double kSmallMarkerPx = 28;

bool are_small(const std::vector<SeenMarker>& seen) {
  std::vector<double> sides;
  sides.reserve(seen.size());
  for (const SeenMarker& m : seen) sides.push_back(cv::norm(m.corners[1] - m.corners[0]));
  return !sides.empty() && median(std::move(sides)) < kSmallMarkerPx;
}

Failure no_target(const cv::Mat& grey, const cv::Mat& reduced, const std::vector<SeenMarker>& seen) {
  const PictureQuality quality = assess_quality(reduced);
  if (quality.spread_codes < 6)
    return {
        "blank-picture", "The picture is blank: there is nothing on it.",
        "Lay the sheet and the strip on the glass, printed side down, and scan again; if they were there, "
        "set the scanner's brightness back to normal."};
  if (std::max(grey.cols, grey.rows) < 1400)
    return {"resolution-too-low", "The picture has too few pixels to find the sheet's codes in it.",
            "Scan at 300 or 600 dpi."};
  // Where some codes could still be read, less blur is reason enough for the others.
  if (quality.blur_px > (seen.empty() ? 2.2 : 1.5))
    return {"too-blurred", "The picture is too blurred to find the sheet's codes in it.",
            "Press the sheet and the strip flat on clean glass and scan again; for a photo, hold still and "
            "tap to focus."};
  if (quality.white_part > 0.9) return over_exposed();
  if (quality.black_part > 0.9)
    return {"saturated", "The picture is under-exposed: almost all of it is plain black.",
            "Turn the scanner's automatic brightness off, or make the picture brighter."};
  cv::Mat mirrored;
  cv::flip(reduced, mirrored, 1);
  if (see_markers(thinned({mirrored, 1}, kLeastOutline), Look::kThorough, kLeastOutline).size() >= 4)
    return {"target-mirrored", "The picture is mirrored.", "Save the picture without mirroring it."};
  if (!seen.empty() && !are_small(seen))
    return {"target-covered", "Too little of the printed sheet can be seen.",
            "Uncover the chessboards on both sides of the channel and get the whole sheet into the picture."};
  return {
      "no-target", "The printed sheet is not in this picture, or too small or too blurred to be read.",
      "Print a sheet with 'tapersight target', lay it with the strip in its channel, let it fill the frame "
      "and hold still; a scan without a sheet is measured with --without-target."};
}

}  // namespace

Result<FoundSheet> find_sheet(const cv::Mat& grey, const Deadline& deadline) {
  std::vector<SeenMarker> seen;
  std::vector<SeenTag> tags;
  std::optional<cv::Matx33d> h;
  Reduced reduced;
  Reduced first;
  // 1800 px over a page are about 6 px/mm, 5 px a marker module; a page that fills the frame only partly
  // needs more.
  for (const int long_side : {1800, 3200, 6400}) {
    const bool first_look = first.grey.empty();
    if (!first_look && reduced.scale <= 1) break;  // no finer picture is left
    reduced = reduce_to(grey, long_side);
    if (first_look) first = reduced;
    if (first_look && under_exposed(reduced.grey))
      return Failure{
          "under-exposed", "The picture is too dark.",
          "Give the bench more light, or tap on the sheet so that the phone exposes for it; turn a "
          "scanner's brightness back to normal."};
    const double least_outline = first_look ? kLeastOutline : kLeastOutlineFar;
    const Reduced searched = thinned(reduced, least_outline);
    for (const Look look : {Look::kQuick, Look::kThorough}) {
      if (deadline.passed()) return took_too_long();
      tags.clear();
      seen = see_markers(searched, look, least_outline, &tags);
      keep_one_layout(seen);
      if (!seen.empty() && all_seen(seen)) break;
    }
    int agreeing = 0;
    h = rough_homography(seen, 3.0 * reduced.scale, &agreeing);
    if (h && agreeing >= 6) break;
    h.reset();
  }
  if (deadline.passed()) return took_too_long();
  if (!h) return no_target(grey, first.grey, seen);
  const SheetLayout& layout = *seen.front().layout;
  const Eigen::Vector2d middle(layout.page_width_mm / 2, layout.page_height_mm / 2);
  const double px_per_mm =
      (through(*h, middle + Eigen::Vector2d(0, 50)) - through(*h, middle - Eigen::Vector2d(0, 50))).norm() /
      100;
  if (px_per_mm < kLeastSheetPxPerMm)
    return Failure{"resolution-too-low", "The picture's resolution is too low to measure the strip.",
                   "Scan at 300 or 600 dpi."};
  FoundSheet found = fit_saddles(grey, layout, *h, coarse_displacements(reduced, layout, *h), px_per_mm);
  if (2 * found.saddles.size() < layout.saddles.size() && assess_quality(reduced.grey).white_part > 0.3)
    return over_exposed();
  std::sort(tags.begin(), tags.end(), [](const SeenTag& a, const SeenTag& b) {
    return std::make_pair(a.bench, a.corners_px[0].x()) < std::make_pair(b.bench, b.corners_px[0].x());
  });
  found.tags = std::move(tags);
  return found;
}

}  // namespace tapersight
