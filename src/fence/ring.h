// Angles other than square: pieces cut at a mitre that should close into a frame or a ring. The closing gap
// adds up the error of every cut, as the strip's taper does for square cuts.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "fence/fence_error.h"

namespace tapersight {

// Which way the fence stands turned from square for this mitre, seen from above.
enum class MitreLean { kCounterclockwise, kClockwise };

// "counterclockwise", "clockwise". Failure: bad-lean.
Result<MitreLean> parse_mitre_lean(std::string_view text);
std::string_view mitre_lean_name(MitreLean lean);

struct RingSetup {
  int pieces = 4;                          // 3..60 pieces that go all the way round
  int mitred_ends = 2;                     // ends of each piece that were cut on this fence: 1 or 2
  MitreLean lean = MitreLean::kClockwise;  // sign of the advice only
};

// Failure: bad-ring.
std::optional<Failure> validate(const RingSetup& setup);

double nominal_mitre(const RingSetup& setup);  // rad from square: 180 degrees / pieces

// The last joint with all others closed tight: how wide it gapes at the ring's outside and at its inside, and
// how far apart these two places are along the joint. A strip of wood fitted into the gap may be measured in
// its stead: its width at its outer end and at its inner end.
struct ClosingGap {
  double outside_mm = 0;                      // >= 0
  double inside_mm = 0;                       // >= 0
  double apart_mm = 0;                        // > 0
  double outside_u_mm = kCaliperReadingU_mm;  // standard uncertainties, >= 0
  double inside_u_mm = kCaliperReadingU_mm;
  double apart_u_mm = 0;
};

// (outside - inside) / apart, a small angle: positive when the pieces together turn less than a full round.
// Failures: bad-width, bad-distance, bad-uncertainty, taper-implausible.
Result<Taper> taper_of_gap(const ClosingGap& gap);

struct RingError {
  double per_cut = 0;  // rad; how much each mitre is short of nominal (negative: it is too much)
  int cuts = 0;        // that added up: pieces * mitred_ends
  FenceError fence;    // the same as an error of the fence, counter-clockwise positive, for correction_move
};

// `gap` is the closing gap's taper, or that of the strip fitted into it (its outer end taken as the fence
// end). Each mitre is short of 180 degrees / pieces by gap / (pieces * mitred_ends); the fence has to turn on
// by that, away from square. Failures: bad-ring, bad-uncertainty, taper-implausible.
Result<RingError> ring_error(const Taper& gap, const RingSetup& setup);

std::vector<std::string> describe_ring(const RingError& error, const RingSetup& setup);

}  // namespace tapersight
