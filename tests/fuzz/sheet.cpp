// The printed sheet and tags in small pictures: finding, decoding, calibrating, and whose tag is whose.
#include <Eigen/Dense>
#include <cmath>

#include "fuzz/changed_picture.h"
#include "pipeline/match_tags.h"
#include "synth/render_scan.h"
#include "target/find_sheet.h"
#include "target/fit_camera.h"
#include "target/fit_plane.h"
#include "target/tag_layout.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

// As small as a sheet is still measured: 3 px/mm. A wide one with a strip and its tag, or a narrow one.
cv::Mat sheet_picture(Channel channel) {
  ScanScene scene;
  scene.dpi = 75;
  scene.channel = channel;
  scene.window_sheet_mm = fiducial_bounds(sheet_layout(scene.paper, channel));
  scene.strips.front().length_mm = 180;
  if (channel == Channel::kWide) scene.tags = {tag_at_fence_end(scene.strips.front(), 7)};
  return render_scan(scene).image;
}

void require_sheet(const FoundSheet& sheet) {
  require(sheet.layout != nullptr && sheet.saddles.size() <= sheet.layout->saddles.size(),
          "too many saddles");
  require(std::isfinite(sheet.px_per_mm) && sheet.px_per_mm >= kLeastSheetPxPerMm, "an impossible scale");
  for (const Correspondence& saddle : sheet.saddles)
    require(saddle.picture_px.allFinite(), "a saddle nowhere");
  for (const SeenTag& tag : sheet.tags)
    require(tag.bench >= kLeastBench && tag.bench <= kMostBench, "no bench's tag");
}

void calibrate(const FoundSheet& sheet) {
  if (const auto plane = fit_plane(sheet.saddles); accepted(plane)) {
    require(std::isfinite(plane->residual_rms_px) && plane->px_per_mm_x > 0, "an impossible map");
    const Eigen::Vector2d mm = SheetMap(plane->map).sheet_from_picture(sheet.saddles.front().picture_px);
    require(mm.allFinite(), "a place nowhere");
  }
}

void match(Draw& draw) {
  std::vector<PlacedPiece> strips(static_cast<std::size_t>(draw.byte() % 6));
  for (PlacedPiece& strip : strips) {
    const double angle = draw.between(0, 7);
    strip.along = {std::cos(angle), std::sin(angle)};
    strip.centre_mm = {draw.between(0, 200), draw.between(0, 280)};
    strip.length_mm = draw.between(0, 260);
    strip.width_mm = draw.between(0, 60);
    strip.strip_like = true;
  }
  std::vector<TagPlace> tags(static_cast<std::size_t>(draw.byte() % 6));
  for (TagPlace& tag : tags) {
    const double angle = draw.between(0, 7);
    tag.bench = 1 + draw.byte() % 3;
    tag.centre_mm = {draw.between(0, 200), draw.between(0, 280)};
    tag.pointer = {std::cos(angle), std::sin(angle)};
  }
  const TagMatch match = match_tags(strips, tags);
  require(match.strips.size() == strips.size() && match.of_tag.size() == tags.size(),
          "a strip or tag is forgotten");
  for (const TaggedStrip& strip : match.strips) {
    require(!strip.tag || *strip.tag < tags.size(), "a tag that is not there");
    if (strip.problem) require_reason(*strip.problem);
    require(strip.problem || strip.tag, "a strip without tag is no problem");
  }
  for (const auto& problem : match.of_tag)
    if (problem) require_reason(*problem);
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const cv::Mat narrow = sheet_picture(Channel::kOneStrip), wide = sheet_picture(Channel::kWide);
  Draw draw(data, size);
  const int first = draw.byte();
  if (first % 4 == 3) {
    match(draw);
    return 0;
  }
  cv::Mat grey = (first % 4 == 0 ? wide : narrow).clone();
  const bool unchanged = draw.empty();
  change_picture(grey, draw);
  const auto sheet = find_sheet(grey);
  require(sheet.ok() || !unchanged, "the sheet itself is not found");
  if (!accepted(sheet)) return 0;
  require_sheet(*sheet);
  calibrate(*sheet);
  return 0;
}
