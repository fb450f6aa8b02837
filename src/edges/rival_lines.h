// Lines along a side that could be the strip's edge in the place of the chosen one. Only for this folder.
#pragma once
#include <cstddef>
#include <vector>

#include "edges/border_profiles.h"
#include "edges/choose_border.h"

namespace tapersight {

// Is the line as sharp as what lies on the glass, with what roughness adds?
bool is_sharp(const BorderCandidate& line, const BorderOptions& options);

// How uneven a line may be that is cut as `edge` is, px.
double evenness_limit_px(const BorderCandidate& edge, const BorderOptions& options);

// Of the regions between two lines, as the lines between them part it, the widest: its mean light and width.
struct Band {
  double tone = 0, width_px = 0;
};
Band widest_band(const BorderProfiles& profiles, const std::vector<BorderCandidate>& all, std::size_t outer,
                 std::size_t inner);

// The stories that the picture leaves open, of all lines from outside to inside. None is told of a line that
// is softer than what lies on the glass, or more uneven than a sawn edge and the noise on its places.

// A line outside the chosen one is the edge, and what lies between them is wood of another tone: sapwood, a
// burn, chalk, a worn arris. Closed where ground lies between them.
std::vector<BorderCandidate> rivals_outside(const BorderProfiles& profiles,
                                            const std::vector<BorderCandidate>& all, std::size_t chosen,
                                            const BorderOptions& options);

// A line inside the chosen one is the edge:
// - What lies between them is no part of the face: side wall, hard shadow, tape. Closed where that has a tone
//   that the face shows elsewhere (the line is the wood's own, or drawn on it), and where the face has other
//   lines as strong; but not where a lively figure begins at the line.
// - Another strip lies between them: the line comes after a gap, at least twice as strong as any other line
// of
//   the face.
std::vector<BorderCandidate> rivals_inside(const BorderProfiles& profiles,
                                           const std::vector<BorderCandidate>& all, std::size_t chosen,
                                           const BorderOptions& options);

}  // namespace tapersight
