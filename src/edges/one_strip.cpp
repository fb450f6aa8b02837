#include "edges/one_strip.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "imaging/picture.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

constexpr double kLeastGapMm = 3, kLighter = 1.5;
constexpr double kEdgeInside = 0.5;  // of the weaker edge's step
constexpr double kClearlyDarker = 0.65, kAsGround = 0.85;
constexpr double kNearlyAsLong = 0.8, kOfOneSide = 0.003;
constexpr double kApartMm = 1;                      // of two lines that are not one, seen twice
constexpr double kArrisMm = 0.5, kPartsWall = 0.4;  // of the change of tone
// A band along the inside: of 534 generated strips, smooth and rough, that were measured, 3 show one.
constexpr double kBandDarker = 0.9, kBandLighter = 1.25, kBandMm = 1, kClearMm = 1.5;
constexpr double kBlack = 0.3;       // of the light outside: dark wood is as dark, and so is black paper
constexpr double kAsStrong = 0.25;   // of such an edge's step: more than figure shows in dark wood
constexpr double kAsLong = 0.35;     // of the edges: the shortest strip on paper as long as the channel
constexpr double kParallel = 0.001;  // arrises, each with its own roughness

const Failure kTwoStrips{"two-strips", "There is more than one strip in the picture.",
                         "Leave only the strip to be measured."};

const Failure kSeemsTwo{
    "two-strips", "There seems to be more than one strip: another straight line runs along like an edge.",
    "Leave only the strip to be measured; if it is one strip with a straight line in its face, "
    "turn that face down."};

const Failure kSomethingElse{
    "something-else",
    "Another straight edge as sharp as the strip's lies in the channel, perhaps of paper under it.",
    "Lay nothing but the strip in the channel; for light wood print the sheet with the dark channel "
    "('tapersight target --dark-channel') instead of laying paper under it."};

// A strong straight line along the inside, further from both sides than a side wall is wide: another strip's
// edge.
bool edge_inside(const std::vector<SharpLine>& telling, const SharpLine& left, const SharpLine& right,
                 const WallReach& reach) {
  const double least = kEdgeInside * std::min(std::abs(left.step), std::abs(right.step));
  return std::any_of(telling.begin(), telling.end(), [&](const SharpLine& c) {
    return c.straight && std::abs(c.step) > least &&
           !reach.holds(c.middle() - left.middle(), right.middle() - c.middle());
  });
}

// Standard uncertainty of how two lines lean to each other.
double u_apart(const SharpLine& a, const SharpLine& b) {
  return std::hypot(2 * a.u_lean_mm / a.line.length_mm(), 2 * b.u_lean_mm / b.line.length_mm());
}

bool may_be_parallel(const SharpLine& a, const SharpLine& b, double by) {
  return std::abs(a.line.lean - b.line.lean) <= by + 3 * u_apart(a, b);
}

// Lines that only another thing's edge can make: one as long as the edges that lies within a side wall's
// reach of one of them, but not parallel to it as the arrises of a side are; and one further out, though it
// be shorter, where a shadow's far border would be lighter on its other side.
bool edge_beside(const std::vector<SharpLine>& lines, const SharpLine& left, const SharpLine& right,
                 const WallReach& reach) {
  const double least = kEdgeInside * std::min(std::abs(left.step), std::abs(right.step));
  const double length = std::min(left.line.length_mm(), right.line.length_mm());
  return std::any_of(lines.begin(), lines.end(), [&](const SharpLine& c) {
    if (!c.straight || std::abs(c.step) < least || c.line.length_mm() < kAsLong * length) return false;
    const double from_left = c.middle() - left.middle(), from_right = right.middle() - c.middle();
    if (from_left < -kApartMm) return c.step > 0;
    if (from_right < -kApartMm) return c.step < 0;
    const double inside = std::min(from_left, from_right);
    if (inside < kApartMm || !reach.holds(from_left, from_right)) return false;
    if (c.line.length_mm() < kNearlyAsLong * length) return false;
    return !may_be_parallel(c, from_left < from_right ? left : right, kOfOneSide);
  });
}

// Is it wood just inside one edge, and just inside the other what lies outside? A side wall may be as dark as
// wood beside a face as light as paper, but then a line parts the two.
bool ground_inside(const std::vector<SharpLine>& lines, const SharpLine& left, const SharpLine& right,
                   const WallReach& reach) {
  const double ground = std::max(left.before, right.after());
  const double darker = std::min(left.after(), right.before), lighter = std::max(left.after(), right.before);
  if (darker > kClearlyDarker * ground || lighter < kAsGround * ground || lighter > ground / kAsGround)
    return false;
  const bool wood_is_left = left.after() < right.before;
  const double reach_mm = wood_is_left ? reach.left_mm : reach.right_mm;
  return std::none_of(lines.begin(), lines.end(), [&](const SharpLine& c) {
    const double inside = wood_is_left ? c.middle() - left.middle() : right.middle() - c.middle();
    const double rise = wood_is_left ? c.step : -c.step;
    return inside > kArrisMm && inside < reach_mm && rise > kPartsWall * (lighter - darker);
  });
}

// How the tone changes across between two lines: means over a sixth of their length each, over that sixth's
// median.
struct AcrossTone {
  std::vector<double> darkest, lightest;  // of the six, from line to line
};

AcrossTone tone_across(const RegionView& view, const LongLine& left, const LongLine& right, double from_mm,
                       double to_mm) {
  constexpr int kStretches = 6;
  constexpr double kEndPart = 0.05;
  const double part_mm = (1 - 2 * kEndPart) / kStretches * (to_mm - from_mm);
  const double middle = (from_mm + to_mm) / 2;
  const auto bins = static_cast<std::size_t>(
      std::max(0.0, (right.place(middle) - left.place(middle)) * RegionView::kPxPerMm));
  AcrossTone across{std::vector<double>(bins, 0), std::vector<double>(bins, HUGE_VAL)};
  if (bins == 0) return across;
  for (int s = 0; s < kStretches; ++s) {
    const double start_mm = from_mm + kEndPart * (to_mm - from_mm) + s * part_mm;
    std::vector<double> tone(bins, 0);
    for (int row = static_cast<int>(start_mm * RegionView::kPxPerMm);
         row < static_cast<int>((start_mm + part_mm) * RegionView::kPxPerMm); ++row) {
      const double along = (row + 0.5) / RegionView::kPxPerMm;
      const double low = left.place(along), high = right.place(along);
      for (std::size_t i = 0; i < bins; ++i) {
        const double place = low + (high - low) * (static_cast<double>(i) + 0.5) / static_cast<double>(bins);
        const int x = std::clamp(static_cast<int>(place * RegionView::kPxPerMm), 0, view.code.cols - 1);
        tone[i] += double{light_of_code()[view.code.at<uchar>(row, x)]};
      }
    }
    const double usual = median(tone);
    for (std::size_t i = 0; i < bins; ++i) {
      across.darkest[i] = std::max(across.darkest[i], tone[i] / usual);
      across.lightest[i] = std::min(across.lightest[i], tone[i] / usual);
    }
  }
  return across;
}

// The widest run of bins that are `unlike` the rest, clear of both ends; mm.
template <typename Unlike>
double widest_band_mm(std::size_t bins, Unlike&& unlike) {
  const auto clear = static_cast<std::size_t>(kClearMm * RegionView::kPxPerMm);
  std::size_t widest = 0, start = 0;
  for (std::size_t i = 0; i < bins; ++i) {
    if (!unlike(i))
      start = i + 1;
    else if (start >= clear && i + clear < bins && !unlike(i + 1))
      widest = std::max(widest, i + 1 - start);
  }
  return static_cast<double>(widest) / RegionView::kPxPerMm;
}

// Black within the outline, white outside: dark wood, or black paper under the strip? On dark wood no other
// straight, sharp line is nearly as strong as its edges, but for an arris of its side, parallel to the edge.
bool may_be_paper(const std::vector<SharpLine>& lines, const SharpLine& left, const SharpLine& right,
                  const WallReach& reach) {
  const bool left_may = left.after() < kBlack * left.before,
             right_may = right.before < kBlack * right.after();
  if (!left_may && !right_may) return false;
  const double weaker =
      std::min(left_may ? std::abs(left.step) : HUGE_VAL, right_may ? std::abs(right.step) : HUGE_VAL);
  const double least_length = kAsLong * std::min(left.line.length_mm(), right.line.length_mm());
  for (const SharpLine& c : lines) {
    if (!c.straight || std::abs(c.step) < kAsStrong * weaker || c.line.length_mm() < least_length) continue;
    const double from_left = c.middle() - left.middle(), from_right = right.middle() - c.middle();
    if (from_left < 0 || from_right < 0) continue;
    if (!reach.holds(from_left, from_right)) return true;
    const SharpLine& edge = from_left < from_right ? left : right;
    if (!may_be_parallel(c, edge, kParallel)) return true;
  }
  return false;
}

}  // namespace

// A single strip shows a wall on one side only; and what is lighter than the ground beside the strip is no
// ground between two, which may lie in a shadow but not in a stronger light.
std::optional<Failure> two_side_by_side(const std::vector<SharpLine>& telling) {
  const double left = telling.front().middle(), right = telling.back().middle();
  const double lightest = kLighter * std::max(telling.front().before, telling.back().after());
  for (std::size_t i = 1; i + 1 < telling.size(); ++i)
    for (std::size_t k = i + 1; k + 1 < telling.size(); ++k)
      if (telling[i].middle() - left >= kLeastWidthMm && right - telling[k].middle() >= kLeastWidthMm &&
          telling[k].middle() - telling[i].middle() >= kLeastGapMm &&
          std::min(telling[i].after(), telling[k].before) < lightest)
        return kTwoStrips;
  return std::nullopt;
}

std::optional<Failure> not_one_strip(const std::vector<SharpLine>& lines,
                                     const std::vector<SharpLine>& telling, const SharpLine& left,
                                     const SharpLine& right, const WallReach& reach) {
  if (edge_inside(telling, left, right, reach) || edge_beside(lines, left, right, reach) ||
      ground_inside(lines, left, right, reach))
    return kSeemsTwo;
  if (may_be_paper(lines, left, right, reach)) return kSomethingElse;
  return std::nullopt;
}

std::optional<Failure> band_inside(const RegionView& view, const LongLine& left, const LongLine& right,
                                   double from_mm, double to_mm) {
  const AcrossTone across = tone_across(view, left, right, from_mm, to_mm);
  const std::size_t bins = across.darkest.size();
  const double dark = widest_band_mm(bins, [&](std::size_t i) { return across.darkest[i] < kBandDarker; });
  const double light = widest_band_mm(bins, [&](std::size_t i) { return across.lightest[i] > kBandLighter; });
  if (std::max(dark, light) < kBandMm) return std::nullopt;
  return kSeemsTwo;
}

}  // namespace tapersight
