#include "edges/find_strip.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "edges/ground.h"
#include "edges/parted_strip.h"
#include "edges/region_view.h"

namespace tapersight {
namespace {

constexpr double kPitch = 1 / RegionView::kPxPerMm;
constexpr double kMostBendMm = 0.7;  // of the middle, over the ends' fifths
constexpr double kStepMm = 6;        // longest torn end that still passes for one

struct Piece {
  std::vector<cv::Point> contour;
  cv::RotatedRect box;
  double area_mm2 = 0;
  double length_mm() const { return double{std::max(box.size.width, box.size.height)} * kPitch; }
  double width_mm() const { return double{std::min(box.size.width, box.size.height)} * kPitch; }
};

// Of the box' longer side, rad.
double along_angle(const cv::RotatedRect& box) {
  const bool wide = box.size.width >= box.size.height;
  return (double{box.angle} + (wide ? 0 : 90)) * CV_PI / 180;
}

cv::Mat disc(double diameter_mm) {
  const int size = std::max(1, static_cast<int>(std::lround(diameter_mm * RegionView::kPxPerMm)) | 1);
  return cv::getStructuringElement(cv::MORPH_ELLIPSE, {size, size});
}

std::vector<Piece> pieces_of(const cv::Mat& mask) {
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(mask, contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  std::vector<Piece> pieces;
  for (auto& contour : contours) {
    if (contour.size() < 40) continue;
    Piece piece;
    piece.area_mm2 = cv::contourArea(contour) * kPitch * kPitch;
    if (piece.area_mm2 < 40) continue;
    piece.box = cv::minAreaRect(contour);
    piece.contour = std::move(contour);
    pieces.push_back(std::move(piece));
  }
  std::sort(pieces.begin(), pieces.end(),
            [](const Piece& a, const Piece& b) { return a.area_mm2 > b.area_mm2; });
  return pieces;
}

struct Segmentation {
  RegionView view;
  cv::Mat shown;  // CV_8UC1, 255 where nothing is hidden
  Ground ground;
  cv::Rect inner;  // the part of the view within the margins
};

cv::Mat shown_of(const RegionView& view, const std::vector<OutlineMm>& hidden_mm) {
  cv::Mat shown(view.code.size(), CV_8UC1, cv::Scalar(255));
  for (const OutlineMm& outline : hidden_mm) {
    std::vector<cv::Point> corners;
    for (const Eigen::Vector2d& p : outline) {
      const Eigen::Vector2d q = (p - view.origin_mm) * RegionView::kPxPerMm - Eigen::Vector2d(0.5, 0.5);
      corners.emplace_back(static_cast<int>(std::lround(q.x())), static_cast<int>(std::lround(q.y())));
    }
    cv::fillConvexPoly(shown, corners, cv::Scalar(0));
  }
  return shown;
}

Segmentation segment_region(const cv::Mat& grey, const SheetMap& map, const StripSearch& search) {
  Segmentation s;
  s.view = view_region(grey, map, search.low_mm, search.high_mm);
  const int side = static_cast<int>(std::lround(search.side_margin_mm / kPitch));
  const int end = static_cast<int>(std::lround(search.end_margin_mm / kPitch));
  s.inner = cv::Rect(side, end, s.view.code.cols - 2 * side, s.view.code.rows - 2 * end);
  cv::Mat valid = cv::Mat::zeros(s.view.code.size(), CV_8UC1);
  s.view.inside(s.inner).copyTo(valid(s.inner));
  s.shown = shown_of(s.view, search.hidden_mm);
  cv::bitwise_and(valid, s.shown, valid);
  cv::Mat sure = valid.clone();
  if (search.only_the_strip) {
    // In the channel the ground shows along the sides.
    const int band = static_cast<int>(std::lround(3 / kPitch));
    sure.colRange(side + band, s.view.code.cols - side - band).setTo(0);
  }
  s.ground = model_ground(s.view.code, sure, valid);
  return s;
}

// Code values by which a place must differ from the ground to count.
double least_difference(const Segmentation& s) {
  return std::max(7.0, 5 * s.ground.sigma);
}

// Where the view differs from the ground by more than `codes`, cleaned of specks and holes.
cv::Mat differing(const Segmentation& s, double codes) {
  cv::Mat code;
  s.view.code.convertTo(code, CV_32F);
  cv::Mat mask = cv::abs(code - s.ground.code) > codes;
  cv::Mat within = cv::Mat::zeros(mask.size(), CV_8UC1);
  mask(s.inner).copyTo(within(s.inner));
  cv::bitwise_and(within, s.view.inside, within);
  cv::bitwise_and(within, s.shown, within);
  cv::morphologyEx(within, within, cv::MORPH_OPEN, disc(0.75));
  cv::morphologyEx(within, within, cv::MORPH_CLOSE, disc(1.25));
  return within;
}

bool strip_like(const Piece& p, const StripSearch& search) {
  return p.length_mm() >= search.least_length_mm && p.length_mm() >= search.least_aspect * p.width_mm() &&
         p.area_mm2 >= 0.6 * p.length_mm() * p.width_mm() && p.width_mm() >= 3;
}

// Do the two pieces lie end to end (rather than side by side)?
bool end_to_end(const Piece& a, const Piece& b) {
  const Piece& longer = a.length_mm() >= b.length_mm() ? a : b;
  const double angle = along_angle(longer.box);
  const Eigen::Vector2d along(std::cos(angle), std::sin(angle));
  const Eigen::Vector2d gap(b.box.center.x - a.box.center.x, b.box.center.y - a.box.center.y);
  return std::abs(gap.dot(along)) * kPitch > 0.4 * (a.length_mm() + b.length_mm()) * 0.8;
}

// Where tone or figure differ from the bare ground's, each averaged over a few millimetres: what may be a
// strip that hardly shows.
cv::Mat faint_traces(const Segmentation& s) {
  // The ground as it is beside: a surface through all of it would have been drawn towards the strip.
  const int band = static_cast<int>(std::lround(3 / kPitch));
  cv::Mat code;
  s.view.code.convertTo(code, CV_32F);
  cv::Mat unlike = cv::Mat::zeros(code.size(), CV_32FC1);
  cv::Mat left, right;
  cv::reduce(code(cv::Rect(s.inner.x, 0, band, code.rows)), left, 1, cv::REDUCE_AVG);
  cv::reduce(code(cv::Rect(s.inner.br().x - band, 0, band, code.rows)), right, 1, cv::REDUCE_AVG);
  for (int y = s.inner.y; y < s.inner.br().y; ++y)
    for (int x = s.inner.x; x < s.inner.br().x; ++x) {
      const float f = static_cast<float>(x - s.inner.x) / static_cast<float>(s.inner.width);
      unlike.at<float>(y, x) =
          std::abs(code.at<float>(y, x) - (1 - f) * left.at<float>(y) - f * right.at<float>(y));
    }
  cv::GaussianBlur(unlike, unlike, cv::Size(), 1.0 / kPitch);
  std::vector<float> beside;
  for (int y = s.inner.y; y < s.inner.br().y; y += 2)
    for (int x = 0; x < band; ++x) {
      beside.push_back(unlike.at<float>(y, s.inner.x + x));
      beside.push_back(unlike.at<float>(y, s.inner.br().x - 1 - x));
    }
  const auto high = beside.begin() + static_cast<std::ptrdiff_t>(beside.size() * 9 / 10);
  std::nth_element(beside.begin(), high, beside.end());
  cv::Mat within = cv::Mat::zeros(unlike.size(), CV_8UC1);
  cv::Mat(unlike > 1.3 * double{*high} + 0.2)(s.inner).copyTo(within(s.inner));
  cv::bitwise_and(within, s.view.inside, within);
  cv::bitwise_and(within, s.shown, within);
  cv::morphologyEx(within, within, cv::MORPH_CLOSE, disc(3));
  return within;
}

Failure not_found(const Segmentation& s, const StripSearch& search) {
  for (const Piece& p : pieces_of(faint_traces(s)))
    if (strip_like(p, search))
      return {"no-contrast", "The strip hardly stands out from the ground under it.",
              "Lay a sheet of dark paper behind a light strip, or white paper behind a dark one."};
  return {"no-strip", "No strip can be seen in the channel.",
          "Lay the strip in the open channel; if it is there, give it a ground of another tone (dark paper "
          "behind light wood, white behind dark)."};
}

const Failure kBroken{"strip-broken", "The strip seems to be in two pieces.",
                      "Cut a new strip; a broken one cannot be measured."};

std::optional<Failure> touches_border(const Piece& piece, const Segmentation& s, const StripSearch& search) {
  const cv::Rect box = cv::boundingRect(piece.contour);
  const auto hits = [&](int low, int high, int from, int to) { return low <= from + 1 || high >= to - 1; };
  if (hits(box.x, box.x + box.width, s.inner.x, s.inner.x + s.inner.width)) {
    if (!search.only_the_strip)
      return Failure{"strip-cut-off", "The strip reaches the picture's border.",
                     "Lay the whole strip on the glass, clear of the edges."};
    return Failure{"strip-across-fiducials", "The strip lies across the side of the channel.",
                   "Lay the strip within the open channel, clear of the chessboards."};
  }
  if (hits(box.y, box.y + box.height, s.inner.y, s.inner.y + s.inner.height)) {
    if (!search.only_the_strip)
      return Failure{"strip-cut-off", "The strip reaches the picture's border.",
                     "Lay the whole strip on the glass, clear of the edges."};
    return Failure{"strip-too-long", "The strip is longer than the channel.",
                   "Cut the strip to 10 in (254 mm) or less and lay it within the channel."};
  }
  // The picture itself may end within the channel.
  for (const cv::Point& p : piece.contour)
    for (const cv::Point d : {cv::Point(2, 0), cv::Point(-2, 0), cv::Point(0, 2), cv::Point(0, -2)}) {
      const cv::Point q = p + d;
      if (s.inner.contains(q) && !s.view.inside.at<uchar>(q))
        return Failure{"strip-cut-off", "The picture does not show the whole strip.",
                       "Scan again with the whole channel in the picture."};
    }
  return std::nullopt;
}

// Robust straight line value = at + lean * position: iterated least squares with Tukey's biweight.
std::pair<double, double> robust_line(const std::vector<Eigen::Vector2d>& points) {
  double at = 0;
  double lean = 0;
  std::vector<double> weight(points.size(), 1.0);
  for (int pass = 0; pass < 12; ++pass) {
    double sw = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double w = weight[i];
      sw += w;
      sx += w * points[i].x();
      sy += w * points[i].y();
      sxx += w * points[i].x() * points[i].x();
      sxy += w * points[i].x() * points[i].y();
    }
    const double determinant = sw * sxx - sx * sx;
    if (!(determinant > 0)) break;
    lean = (sw * sxy - sx * sy) / determinant;
    at = (sy - lean * sx) / sw;
    std::vector<double> errors;
    for (const auto& p : points) errors.push_back(std::abs(p.y() - at - lean * p.x()));
    std::vector<double> sorted = errors;
    std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2),
                     sorted.end());
    const double scale = 4.685 * std::max(0.05, 1.4826 * sorted[sorted.size() / 2]);
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double r = errors[i] / scale;
      weight[i] = r < 1 ? (1 - r * r) * (1 - r * r) : 0;
    }
  }
  return {at, lean};
}

double median_across(const std::vector<Eigen::Vector2d>& points, double from, double to) {
  std::vector<double> values;
  for (std::size_t i = static_cast<std::size_t>(from * static_cast<double>(points.size()));
       i < static_cast<std::size_t>(to * static_cast<double>(points.size())); ++i)
    values.push_back(points[i].y());
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// Do both sides bend the same way, by more than any strip that is worth measuring?
bool bent(const std::vector<Eigen::Vector2d>* sides) {
  double bend[2];
  for (int k = 0; k < 2; ++k)
    bend[k] = median_across(sides[k], 0.4, 0.6) -
              (median_across(sides[k], 0, 0.2) + median_across(sides[k], 0.8, 1)) / 2;
  return bend[0] * bend[1] > 0 && std::min(std::abs(bend[0]), std::abs(bend[1])) > kMostBendMm;
}

// Outline from a piece's contour: the extreme contour points of each millimetre along it.
Result<StripOutline> outline_of(const Piece& piece, const RegionView& view, const StripSearch& search) {
  StripOutline o;
  const double angle = along_angle(piece.box);
  o.along = Eigen::Vector2d(std::cos(angle), std::sin(angle));
  if (o.along.dot(search.fence_direction) < 0) o.along = -o.along;
  o.centre_mm = view.sheet_from_view(piece.box.center.x, piece.box.center.y);
  std::vector<Eigen::Vector2d> local;
  double first = 1e9;
  double last = -1e9;
  for (const cv::Point& p : piece.contour) {
    const Eigen::Vector2d d = view.sheet_from_view(p.x, p.y) - o.centre_mm;
    local.emplace_back(d.dot(o.along), d.dot(o.across()));
    first = std::min(first, local.back().x());
    last = std::max(last, local.back().x());
  }
  const int bins = std::max(8, static_cast<int>((last - first) / 1.0));
  std::vector<double> low(static_cast<std::size_t>(bins), 1e9);
  std::vector<double> high(static_cast<std::size_t>(bins), -1e9);
  for (const auto& p : local) {
    const auto i = static_cast<std::size_t>(
        std::clamp(static_cast<int>((p.x() - first) / (last - first) * bins), 0, bins - 1));
    low[i] = std::min(low[i], p.y());
    high[i] = std::max(high[i], p.y());
  }
  std::vector<Eigen::Vector2d> sides[2];
  const auto position = [&](int i) { return first + (i + 0.5) * (last - first) / bins; };
  std::vector<double> widths;
  for (int i = 0; i < bins; ++i)
    if (high[static_cast<std::size_t>(i)] > low[static_cast<std::size_t>(i)])
      widths.push_back(high[static_cast<std::size_t>(i)] - low[static_cast<std::size_t>(i)]);
  std::nth_element(widths.begin(), widths.begin() + static_cast<std::ptrdiff_t>(widths.size() / 2),
                   widths.end());
  const double usual = widths[widths.size() / 2];
  const auto full = [&](int i) {
    return high[static_cast<std::size_t>(i)] - low[static_cast<std::size_t>(i)] > 0.6 * usual;
  };
  // How much of an end is clearly wood, but not the strip's full width; mm.
  const auto part_wide = [&](int low_bin, int high_bin) {
    int count = 0;
    for (int i = low_bin; i < high_bin; ++i)
      count += high[static_cast<std::size_t>(i)] - low[static_cast<std::size_t>(i)] > 0.25 * usual;
    return count * (last - first) / bins;
  };
  int from = 0;
  int to = bins - 1;
  while (from < to && !full(from)) ++from;
  while (to > from && !full(to)) --to;
  for (int i = from + bins / 20; i <= to - bins / 20; ++i)
    if (full(i)) {
      sides[0].emplace_back(position(i), low[static_cast<std::size_t>(i)] - kPitch / 2);
      sides[1].emplace_back(position(i), high[static_cast<std::size_t>(i)] + kPitch / 2);
    }
  if (sides[0].size() < 20)
    return Failure{"not-a-strip", "What lies in the channel does not have two long straight edges.",
                   "Lay the strip that the last cut took off in the channel."};
  if (bent(sides))
    return Failure{"edge-not-straight", "The strip's edges are not straight: it is bent or broken.",
                   "Cut a new strip; if it happens again, the fence itself is not straight."};
  if (std::max(part_wide(0, from), part_wide(to + 1, bins)) > kStepMm)
    return Failure{"two-strips", "One end is stepped, as if two strips lay against each other.",
                   "Leave only the strip to be measured; if it is one piece, cut its torn end off."};
  for (int k = 0; k < 2; ++k) std::tie(o.side_at_mm[k], o.side_lean[k]) = robust_line(sides[k]);
  o.far_mm = position(from) - 0.5;
  o.fence_mm = position(to) + 0.5;
  return o;
}

Failure too_many(const Piece& a, const Piece& b) {
  if (end_to_end(a, b)) return kBroken;
  return {"two-strips", "There is more than one strip in the picture.",
          "Leave only the strip to be measured."};
}

}  // namespace

OutlineMm PlacedPiece::grown(double by_mm) const {
  const Eigen::Vector2d l = (length_mm / 2 + by_mm) * along;
  const Eigen::Vector2d w = (width_mm / 2 + by_mm) * across();
  return {centre_mm - l - w, centre_mm - l + w, centre_mm + l + w, centre_mm + l - w};
}

std::vector<PlacedPiece> find_pieces(const cv::Mat& grey, const SheetMap& map, const StripSearch& search) {
  const Segmentation s = segment_region(grey, map, search);
  std::vector<PlacedPiece> placed;
  for (const Piece& piece : pieces_of(differing(s, least_difference(s)))) {
    PlacedPiece p;
    const double angle = along_angle(piece.box);
    p.along = Eigen::Vector2d(std::cos(angle), std::sin(angle));
    if (p.along.dot(search.fence_direction) < 0) p.along = -p.along;
    p.centre_mm = s.view.sheet_from_view(piece.box.center.x, piece.box.center.y);
    p.length_mm = piece.length_mm();
    p.width_mm = piece.width_mm();
    p.strip_like = strip_like(piece, search);
    placed.push_back(p);
  }
  return placed;
}

Result<StripOutline> find_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search) {
  const Segmentation s = segment_region(grey, map, search);
  const std::vector<Piece> pieces = pieces_of(differing(s, least_difference(s)));
  std::vector<const Piece*> strips;
  for (const Piece& p : pieces)
    if (strip_like(p, search)) strips.push_back(&p);
  if (strips.empty()) {
    if (pieces.empty()) return not_found(s, search);
    const Piece& p = pieces.front();
    if (const auto failure = touches_border(p, s, search)) return *failure;
    if (pieces.size() > 1 && pieces[1].area_mm2 > 0.3 * p.area_mm2 && end_to_end(p, pieces[1]))
      return too_many(p, pieces[1]);
    if (p.area_mm2 < 150) return not_found(s, search);
    const bool straight_sided = p.area_mm2 > 0.85 * p.length_mm() * p.width_mm();
    if (straight_sided && p.length_mm() < search.least_length_mm)
      return Failure{"strip-too-short", "The strip is too short to measure.",
                     "Cut a strip at least 4 in (100 mm) long."};
    return Failure{"not-a-strip", "What lies in the channel is not a long straight strip.",
                   "Lay the strip that the last cut took off in the channel, and nothing else."};
  }
  std::sort(strips.begin(), strips.end(),
            [](const Piece* a, const Piece* b) { return a->length_mm() > b->length_mm(); });
  const Piece& strip = *strips.front();
  if (search.only_the_strip) {
    for (const Piece& other : pieces)
      if (&other != &strip && other.area_mm2 > 0.08 * strip.area_mm2 && other.area_mm2 > 60)
        return too_many(strip, other);
  } else if (strips.size() > 1 && strips[1]->length_mm() > 0.7 * strip.length_mm()) {
    return Failure{"two-strips", "There is more than one long straight piece in the picture.",
                   "Leave only the strip, or name its place with --region."};
  }
  if (const auto failure = touches_border(strip, s, search)) return *failure;
  if (is_parted(s.view.code, s.ground.code, strip.contour)) return kBroken;
  return outline_of(strip, s.view, search);
}

}  // namespace tapersight
