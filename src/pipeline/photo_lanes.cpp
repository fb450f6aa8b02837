#include "pipeline/photo_lanes.h"

#include <algorithm>
#include <string>

#include "target/tag_layout.h"

namespace tapersight {
namespace {

// Nearer to each other, two tags lie at the two ends of one strip: strips that can be told apart have their
// middles a narrow strip (8 mm) and a gap (5 mm) apart.
constexpr double kSameLaneMm = 9;

}  // namespace

std::vector<PhotoLane> lanes_of(const StripSearch& channel, const std::vector<TagPlace>& tags) {
  std::vector<std::size_t> order(tags.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return tags[a].centre_mm.x() < tags[b].centre_mm.x(); });
  std::vector<PhotoLane> lanes;
  double last_x = 0;
  for (const std::size_t t : order) {
    const double x = tags[t].centre_mm.x();
    if (!lanes.empty() && x - last_x < kSameLaneMm) {
      lanes.back().tags.push_back(t);
      continue;
    }
    PhotoLane lane{channel, {t}};
    if (!lanes.empty()) lanes.back().search.high_mm.x() = lane.search.low_mm.x() = (last_x + x) / 2;
    if (tags[t].pointer.y() > 0) lane.search.fence_direction = -lane.search.fence_direction;
    lanes.push_back(lane);
    last_x = x;
  }
  // What a lane shows beyond a tag's pointer is the tag itself.
  for (PhotoLane& lane : lanes)
    for (const std::size_t t : lane.tags) {
      const double tip = tags[t].centre_mm.y() - kTagPointerTip * tags[t].pointer.y();
      if (tags[t].pointer.y() < 0)
        lane.search.high_mm.y() = std::min(lane.search.high_mm.y(), tip);
      else
        lane.search.low_mm.y() = std::max(lane.search.low_mm.y(), tip);
    }
  return lanes;
}

PlacedPiece piece_of(const StripOutline& outline) {
  PlacedPiece piece;
  const double middle = (outline.far_mm + outline.fence_mm) / 2;
  piece.centre_mm = (outline.on_side(0, middle) + outline.on_side(1, middle)) / 2;
  piece.along = outline.along;
  piece.length_mm = outline.length_mm();
  piece.width_mm = outline.width_mm();
  piece.strip_like = true;
  return piece;
}

Failure several_in_lane(const PhotoLane& lane, const std::vector<TagPlace>& tags) {
  return {"two-strips",
          "More than one strip lies near tag " + std::to_string(tags[lane.tags.front()].bench) +
              ", or something beside its strip looks like another.",
          "Give every strip its tag, leave a finger's width between them, and take the photo again."};
}

}  // namespace tapersight
