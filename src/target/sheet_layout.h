// The printed target, defined once: the drawing (draw_sheet.h) and the detector (find_sheet.h) both read it.
//
// Sheet frame: millimetres, origin at the page's top left corner, x to the right, y down, seen as printed.
// The strip lies in the open channel along y, its fence end towards the bottom of the page.
#pragma once
#include <Eigen/Core>
#include <string>
#include <vector>

namespace tapersight {

enum class Paper { kA4, kLetter };

// One strip in a channel of 60 mm, or several side by side in a wide one, each with its tag (tag_layout.h).
enum class Channel { kOneStrip, kWide };

struct RectMm {
  double x = 0, y = 0, width = 0, height = 0;
  double right() const { return x + width; }
  double bottom() const { return y + height; }
  bool contains(const Eigen::Vector2d& p) const {
    return p.x() >= x && p.x() <= right() && p.y() >= y && p.y() <= bottom();
  }
};

inline constexpr int kSaddleRows = 32;  // of a block: 31 * 8 = 248 mm from end to end

// A point where four squares of a chessboard meet.
struct Saddle {
  Eigen::Vector2d at_mm;
  int block = 0;               // 0 left of the channel, 1 right of it
  int row = 0;                 // 0 at the top
  int column = 0;              // 0 at the left of its block
  bool ink_upper_left = true;  // the square up and left of the point is printed black
};

// A coded marker (ArUco dictionary 5x5_1000) in a white square; it only tells which saddle is which.
struct Marker {
  int id = 0;
  int block = 0;
  Eigen::Vector2d centre_mm;
  double side_mm = 0;
};

// A straight bar that the user checks with a rule.
struct CheckBar {
  Eigen::Vector2d from_mm, to_mm;
  double length_mm() const { return (to_mm - from_mm).norm(); }
};

struct SheetLayout {
  std::string id;  // "a4", "letter-wide": names the sheet in files and messages
  Channel kind = Channel::kOneStrip;
  double page_width_mm = 0, page_height_mm = 0;
  RectMm channel;
  double square_mm = 0;        // pitch of the saddles
  double rim_mm = 0;           // width of the part squares around a block
  std::vector<RectMm> blocks;  // the chessboards with their rims
  std::vector<Saddle> saddles;
  std::vector<Marker> markers;
  CheckBar bar_x, bar_y;

  // Whether the fiducials are black at `p` (sheet frame); false outside the blocks. Markers included.
  bool fiducial_ink_at(const Eigen::Vector2d& p) const;
};

const SheetLayout& sheet_layout(Paper paper, Channel channel = Channel::kOneStrip);
const std::vector<const SheetLayout*>& all_sheet_layouts();

// Marker ids from here on are those of tags, 400 + bench number.
inline constexpr int kFirstTagMarker = 400;

// The inner 5 x 5 bits of marker `id`, 0..999, row by row from the top left; true = white.
const std::vector<bool>& marker_bits(int id);
inline constexpr int kMarkerBits = 5;     // bits along one side
inline constexpr int kMarkerModules = 7;  // with the black border of one module

}  // namespace tapersight
