// A sled that really cuts: boards are convex polygons, the blade is a band of the plane, the fence is a line.
// Knows nothing of the formulas of fence_error.h, which the tests hold against it.
//
// Bird's-eye frame: x to the right, y away from the operator, mm; the blade's kept-side face lies on x = 0.
#pragma once
#include <cmath>
#include <stdexcept>
#include <vector>

#include "base/rng.h"

namespace tapersight::polygon_cuts {

struct Point {
  double x = 0, y = 0;
};

inline Point turned(Point p, double angle) {
  return {p.x * std::cos(angle) - p.y * std::sin(angle), p.x * std::sin(angle) + p.y * std::cos(angle)};
}

// Corners counter-clockwise; edges[i] names the edge from corner i to the next.
struct Board {
  std::vector<Point> corners;
  std::vector<int> edges;

  std::size_t size() const { return corners.size(); }
  const Point& corner(std::size_t i) const { return corners[i % size()]; }
  std::size_t index_of(int edge) const {
    for (std::size_t i = 0; i < size(); ++i)
      if (edges[i] == edge) return i;
    throw std::logic_error("the board has lost that edge");
  }
  double direction_of(int edge) const {
    const std::size_t i = index_of(edge);
    return std::atan2(corner(i + 1).y - corner(i).y, corner(i + 1).x - corner(i).x);
  }
};

// The part of the board where sign * (x - at) >= 0; the new edge gets the name `cut`.
inline Board clipped(const Board& board, double at, double sign, int cut) {
  Board result;
  const auto add = [&](Point p, int edge) {
    result.corners.push_back(p);
    result.edges.push_back(edge);
  };
  for (std::size_t i = 0; i < board.size(); ++i) {
    const Point a = board.corner(i), b = board.corner(i + 1);
    const double da = sign * (a.x - at), db = sign * (b.x - at);
    const Point crossing{at, a.y + (b.y - a.y) * da / (da - db)};
    if (da >= 0) add(a, board.edges[i]);
    if (da >= 0 && db < 0) add(crossing, cut);
    if (da < 0 && db >= 0) add(crossing, board.edges[i]);
  }
  return result;
}

// The board turned over about an axis across the blade (what was near becomes far, the ends stay).
inline Board turned_over(const Board& board) {
  Board result;
  for (std::size_t i = board.size(); i-- > 0;) {
    result.corners.push_back({board.corner(i).x, -board.corner(i).y});
    result.edges.push_back(board.edges[(i + board.size() - 1) % board.size()]);
  }
  return result;
}

struct Sled {
  double theta = 0;  // how far the fence is turned counter-clockwise from its right place, rad
  bool fence_far = false;
  bool keep_left = true;         // the board stays left of the blade, the strip falls to the right
  double corner = std::acos(0);  // the corner that the sled is meant to cut, rad; square by default
  double kerf_mm = 3;

  // The fence's direction, pointing to the right. The corner lies between the fence and the blade's path.
  double fence_direction() const {
    const double off_square = corner - std::acos(0);
    return theta + (fence_far == keep_left ? -off_square : off_square);
  }
};

struct Cut {
  Board kept, strip;  // as they lie on the sled after the cut
};

// Lays `edge` against the fence with `overhang_mm` of the board beyond the blade, and cuts; the fresh edge is
// called `cut` on both pieces.
inline Cut cut_off(const Board& board, int edge, const Sled& sled, double overhang_mm, int cut) {
  // Corners run counter-clockwise: the inside is on the left of an edge, so an edge lying along the fence's
  // direction has the board beyond it, one lying against that direction has the board on the operator's side.
  const double direction = sled.fence_direction() + (sled.fence_far ? 2 * std::acos(0) : 0);
  const double turn = direction - board.direction_of(edge);
  Board laid = board;
  for (Point& p : laid.corners) p = turned(p, turn);
  const double sign = sled.keep_left ? 1 : -1;  // +x is the waste side when the board is kept on the left
  double farthest = -1e300;
  for (const Point& p : laid.corners) farthest = std::fmax(farthest, sign * p.x);
  const Point on_fence = laid.corner(laid.index_of(edge));
  const double slide = sign * overhang_mm - sign * farthest;
  const double f = sled.fence_direction();
  for (Point& p : laid.corners) {
    p.x += slide;
    p.y += std::tan(f) * (on_fence.x + slide) - on_fence.y;
  }
  return {clipped(laid, 0, -sign, cut), clipped(laid, sign * sled.kerf_mm, sign, cut)};
}

// The strip's width across the blade's path at height y.
inline double width_at(const Board& strip, double y) {
  double low = 1e300, high = -1e300;
  for (std::size_t i = 0; i < strip.size(); ++i) {
    const Point a = strip.corner(i), b = strip.corner(i + 1);
    if ((a.y - y) * (b.y - y) > 0 || a.y == b.y) continue;
    const double x = a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y);
    low = std::fmin(low, x);
    high = std::fmax(high, x);
  }
  return high - low;
}

struct StripWidths {
  double fence_end_mm = 0, far_end_mm = 0, apart_mm = 0;
};

// Widths near both ends of the fresh edge; the fence end is the end that lay at the fence.
inline StripWidths measure(const Board& strip, int cut, const Sled& sled, double margin = 0.15) {
  const std::size_t i = strip.index_of(cut);
  const double low = std::fmin(strip.corner(i).y, strip.corner(i + 1).y);
  const double high = std::fmax(strip.corner(i).y, strip.corner(i + 1).y);
  const double near_y = low + margin * (high - low), far_y = high - margin * (high - low);
  const double fence_y = sled.fence_far ? far_y : near_y;
  const double other_y = sled.fence_far ? near_y : far_y;
  return {width_at(strip, fence_y), width_at(strip, other_y), far_y - near_y};
}

// A rough board with `sides` edges of about `side_mm`, every corner up to `roughness_mm` out of place. Edges
// 0..n-1.
inline Board rough_board(int sides, double side_mm, double roughness_mm, Rng& rng) {
  Board board;
  const double pi = 2 * std::acos(0);
  const double radius = side_mm / (2 * std::sin(pi / sides));
  for (int i = 0; i < sides; ++i) {
    const double angle = 2 * pi * i / sides;
    board.corners.push_back({radius * std::cos(angle) + rng.uniform(-roughness_mm, roughness_mm),
                             radius * std::sin(angle) + rng.uniform(-roughness_mm, roughness_mm)});
    board.edges.push_back(i);
  }
  return board;
}

// The whole test: every side of a rough board cut in turn, the fresh edge going against the fence each time,
// and the first side cut a second time. That last cut's strip has `sides` turns between its two long edges.
inline StripWidths cut_and_turn(int sides, const Sled& sled, double side_mm, double roughness_mm, Rng& rng) {
  Board board = rough_board(sides, side_mm, roughness_mm, rng);
  // Rough edges are met in the order in which the board is turned; any of them may start.
  int against_fence = rng.integer(0, sides - 1);
  for (int i = 0; i < sides; ++i) {
    const int fresh = 100 + i;
    board = cut_off(board, against_fence, sled, 4 * roughness_mm + 8, fresh).kept;
    against_fence = fresh;
  }
  const Cut last = cut_off(board, against_fence, sled, sled.kerf_mm + rng.uniform(12, 20), 200);
  return measure(last.strip, 200, sled, sides == 3 ? 0.3 : 0.15);
}

}  // namespace tapersight::polygon_cuts
