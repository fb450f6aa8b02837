#include "page/sled_sketch.h"

#include <cmath>

#include "base/text.h"
#include "fence/polygon_cuts.h"
#include "page/svg.h"

namespace tapersight {
namespace {

using polygon_cuts::Board;
using polygon_cuts::Cut;
using polygon_cuts::Sled;
using svg::label;
using svg::stroke;

constexpr double kWidth = 360, kHeight = 280;
constexpr double kLeftEnd = 46, kRightEnd = 314, kBlade = 180;  // x of the fence's ends and of the blade
constexpr double kTurned = 2.6 / kDegreesPerRadian;  // of the fence; the strip shows four times that
// Sizes in the drawing's own units. The trim is wide enough to take the whole rough edge off.
constexpr double kBoard = 150, kTrim = 26, kStrip = 26, kKerf = 4;
constexpr double kFenceThick = 14;

// From the cuts' frame (x right, y away from the operator, the blade's kept face at x = 0) to the drawing.
struct Place {
  double fence_y = 186;  // where fence and blade meet
  std::pair<double, double> at(double x, double y) const { return {kBlade + x, fence_y - y}; }
};

// All four sides, the fresh edge against the fence each time, and the first side once more; or one cut, the
// board turned over, and another.
Cut last_cut(const Sled& sled, int turns) {
  Board board{{{0, 0}, {kBoard, 0}, {kBoard, kBoard}, {0, kBoard}}, {0, 1, 2, 3}};
  if (turns == 2) {
    const int first = sled.fence_far ? 2 : 0;
    const Board once = polygon_cuts::cut_off(board, first, sled, kTrim, 10).kept;
    return polygon_cuts::cut_off(polygon_cuts::turned_over(once), 2 - first, sled, kKerf + kStrip, 11);
  }
  int against_fence = 0;
  for (int fresh = 10; fresh < 14; ++fresh) {
    board = polygon_cuts::cut_off(board, against_fence, sled, kTrim, fresh).kept;
    against_fence = fresh;
  }
  return polygon_cuts::cut_off(board, against_fence, sled, kKerf + kStrip, 14);
}

Markup outline(const Board& board, const Place& place, const char* look) {
  std::string data;
  for (const polygon_cuts::Point& p : board.corners) {
    const auto [x, y] = place.at(p.x, p.y);
    data += (data.empty() ? "M" : "L") + fixed(x, 1) + " " + fixed(y, 1);
  }
  return svg::path_data(data + "z", look);
}

class Sketcher {
 public:
  explicit Sketcher(const SledSketch& sketch) : sketch_(sketch) {
    const bool far = sketch.setup.fence == FenceSide::kFar;
    if (far) place_.fence_y = 66;
    sled_.fence_far = far;
    sled_.keep_left = sketch.setup.strip_falls == Side::kRight;
    sled_.kerf_mm = kKerf;
    if (sketch.sense != Sense::kNone)
      sled_.theta = sketch.sense == Sense::kCounterclockwise ? kTurned : -kTurned;
    pivot_x_ = (sketch.setup.pivot == Side::kLeft ? kLeftEnd : kRightEnd) - kBlade;
    end_x_ = (sketch.setup.pivot == Side::kLeft ? kRightEnd : kLeftEnd) - kBlade;
  }

  Markup drawn() const {
    Markup all = svg::rect(8, 8, kWidth - 16, 230, "base");
    all += stroke(kBlade + blade_side() * kKerf / 2, 14, kBlade + blade_side() * kKerf / 2, 232, "blade");
    all += label(kBlade + blade_side() * kKerf / 2 + 8, sled_.fence_far ? 228.0 : 24.0, "start", "blade");
    all += fence();
    const Cut cut = last_cut(sled_, sketch_.setup.turns);
    all += outline(cut.kept, place_, "board");
    if (!sketch_.ring) all += outline(cut.strip, place_, "strip");
    const auto [x, y] = place_.at(-blade_side() * kBoard * 0.28, board_way() * kBoard * 0.33);
    all += label(x, y + 4, "middle", "board");
    all += square_line() + pivot() + arrow();
    return all + operator_figure();
  }

 private:
  double blade_side() const { return sled_.keep_left ? 1 : -1; }  // where the strip falls
  double board_way() const { return sled_.fence_far ? -1 : 1; }   // from the fence to the board, in y
  double fence_at(double x) const { return std::tan(sled_.theta) * x; }
  std::pair<double, double> face(double x) const { return place_.at(x, fence_at(x)); }

  Markup fence() const {
    const double low = std::fmin(pivot_x_, end_x_) - 14, high = std::fmax(pivot_x_, end_x_) + 14;
    const double back = -board_way() * kFenceThick;
    std::string data;
    for (const auto& [x, off] : {std::pair{low, 0.0}, {high, 0.0}, {high, back}, {low, back}}) {
      const auto [px, py] = place_.at(x, fence_at(x) + off);
      data += (data.empty() ? "M" : "L") + fixed(px, 1) + " " + fixed(py, 1);
    }
    return svg::path_data(data + "z", "fence");
  }

  Markup square_line() const {
    if (sled_.theta == 0) return {};
    const auto [x, y] = face(pivot_x_);
    const auto [to, unused] = face(end_x_);
    return svg::path({{x, y}, {to + (to - x) * 0.1, y}}, "square-line");
  }

  Markup arrow() const {
    if (sketch_.move == Toward::kNowhere || sled_.theta == 0) return {};
    const double down = sketch_.move == Toward::kOperator ? 1 : -1;
    const auto [end, y] = face(end_x_);
    const double x = end + (end > kBlade ? 24 : -24);
    const double from = y - down * 12, to = y + down * 26;
    return svg::path({{x, from}, {x, to - down * 3}}, "move") +
           svg::path({{x - 7, to - down * 11}, {x, to}, {x + 7, to - down * 11}}, "move");
  }

  Markup pivot() const {
    const auto [x, face_y] = face(pivot_x_);
    const double y = face_y + board_way() * kFenceThick / 2;
    Markup drawn = svg::circle(x, y, 6, "pivot") + svg::circle(x, y, 1.6, "pivot-pin");
    const double line_y = place_.fence_y + board_way() * 38;
    const double text_y = sled_.fence_far ? line_y - 6 : line_y + 14;
    drawn += label(x, text_y, "middle", "pivot");
    if (!sketch_.setup.pivot_distance_mm) return drawn;
    const auto [to, unused] = face(end_x_);
    drawn += svg::path({{x, line_y - 5}, {x, line_y + 5}}, "measure");
    drawn += svg::path({{to, line_y - 5}, {to, line_y + 5}}, "measure");
    drawn += svg::path({{x, line_y}, {to, line_y}}, "measure");
    return drawn + label((x + to) / 2 + (to > x ? 44 : -44), text_y, "middle",
                         plain_length_text(*sketch_.setup.pivot_distance_mm, sketch_.units));
  }

  static Markup operator_figure() {
    constexpr double kY = 252;
    return svg::circle(kBlade, kY, 7, "person") +
           svg::path_data("M162 " + fixed(kY + 24, 1) + "a18 15 0 0 1 36 0z", "person") +
           label(kBlade + 30, kY + 18, "start", "you stand here");
  }

  const SledSketch& sketch_;
  Sled sled_;
  Place place_;
  double pivot_x_ = 0, end_x_ = 0;  // in the cuts' frame
};

}  // namespace

SledSketch sketch_of(const MeasurementReport& report) {
  SledSketch sketch;
  sketch.setup = report.setup;
  sketch.ring = report.wishes.ring.has_value();
  sketch.units = report.units;
  if (report.fence && report.fence->sense_is_known()) sketch.sense = report.fence->sense();
  if (report.advice.adjustment) sketch.move = report.move->toward;
  return sketch;
}

Markup sled_drawing(const SledSketch& sketch, const std::string& alt) {
  return svg::drawing(kWidth, kHeight, "sled", alt, Sketcher(sketch).drawn());
}

}  // namespace tapersight
