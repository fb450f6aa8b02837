// How the test strip was cut and how the fence is held: what turns a strip's taper into a fence's error.
//
// Bird's-eye frame: x to the right, y away from the operator, the blade's path along y. Angles of the fence
// are counter-clockwise positive, seen from above, from square to the blade.
#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"

namespace tapersight {

// Where the fence stands on the sled: on the operator's side of the board, or on the far side.
enum class FenceSide { kNear, kFar };
enum class Side { kLeft, kRight };

struct SledSetup {
  int turns = 4;                       // turns between the strip's two cuts, 1..100; five cuts are 4 turns
  FenceSide fence = FenceSide::kNear;  //
  Side strip_falls = Side::kRight;     // the side of the blade on which the strip comes off
  Side pivot = Side::kLeft;            // the end of the fence about which it is turned
  std::optional<double> pivot_distance_mm;  // from the pivot to where the move is made, > 0
  double pivot_distance_u_mm = 0;           // standard uncertainty of that distance, >= 0
  double cut_length_mm = 304.8;             // the cut over which the error is also stated, > 0; 12 in
};

// Failures: bad-turns, bad-pivot-distance, bad-cut-length.
std::optional<Failure> validate(const SledSetup& setup);

// s of theta = s * taper / turns. With the fence near and the board kept on the left (the strip falls to the
// right) a fence turned counter-clockwise leaves the strip wider at its fence end; moving the fence to the
// far side or the strip to the other side of the blade turns the sign over. Derived in DEVELOPERS.md;
// tests/fence/fence_error_test.cpp cuts polygons to prove it.
int taper_sign(const SledSetup& setup);

// "near"/"far", "left"/"right". Failures: bad-fence-side, bad-side.
Result<FenceSide> parse_fence_side(std::string_view text);
Result<Side> parse_side(std::string_view text);
std::string_view fence_side_name(FenceSide side);
std::string_view side_name(Side side);
Side opposite(Side side);

}  // namespace tapersight
