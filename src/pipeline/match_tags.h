// Which tag belongs to which strip: decided only where it is plain, reported where it is not.
#pragma once
#include <optional>
#include <vector>

#include "base/result.h"
#include "edges/find_strip.h"

namespace tapersight {

// A tag on the sheet. True mm.
struct TagPlace {
  int bench = 0;
  Eigen::Vector2d centre_mm;  // of its marker
  Eigen::Vector2d pointer;    // unit, the way its pointer points: towards its strip
};

struct TaggedStrip {
  std::optional<std::size_t> tag;  // index of the one tag that points at this strip, lying at its end
  bool at_fence_direction = true;  // whether that end is the one towards the search's fence direction
  std::optional<Failure> problem;
};

struct TagMatch {
  std::vector<TaggedStrip> strips;             // in the order given
  std::vector<std::optional<Failure>> of_tag;  // what is wrong with each tag, in the order given
};

// A tag belongs to a strip when its marker's middle lies 2 to 20 mm beyond one end, within 6 mm of the
// strip's middle line, its pointer pointing at that end to 40 degrees. Problems of a strip:
// "strip-without-tag", "two-tags", "same-tag-twice", "strip-broken" (another piece lies end to end with it,
// no tag between); of a tag: "tag-without-strip", "tag-misplaced", "same-tag-twice".
TagMatch match_tags(const std::vector<PlacedPiece>& strips, const std::vector<TagPlace>& tags);

}  // namespace tapersight
