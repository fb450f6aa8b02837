#include "pipeline/measure_strips.h"

#include <Eigen/Core>
#include <algorithm>
#include <utility>

#include "pipeline/match_tags.h"
#include "pipeline/photo_lanes.h"
#include "pipeline/stages.h"
#include "target/tag_layout.h"

namespace tapersight {
namespace {

constexpr double kBesideMm = 7.5;  // ground left and right of a strip that its search sees, margin included
constexpr double kBeyondMm = 4;    // and beyond its ends
constexpr double kHideMm = 1;      // more than a neighbour or a tag itself is hidden
const Failure kSeveral{"several-strips", "There is more than one strip on the sheet.",
                       "Measure them with 'tapersight batch', or leave only one."};
constexpr double kLeastPieceMm2 = 150;  // smaller things are chips and dust

struct TagOnSheet {
  TagPlace place;
  OutlineMm paper;  // with kHideMm around
};

TagOnSheet on_sheet(const SeenTag& seen, const SheetMap& map) {
  std::array<Eigen::Vector2d, 4> corner;
  for (std::size_t k = 0; k < 4; ++k) corner[k] = map.sheet_from_picture(seen.corners_px[k]);
  TagOnSheet tag;
  tag.place.bench = seen.bench;
  tag.place.centre_mm = (corner[0] + corner[1] + corner[2] + corner[3]) / 4;
  // Millimetres of the tag's own frame: a tag printed too small or too large is still hidden whole.
  const Eigen::Vector2d right = (corner[1] + corner[2] - corner[0] - corner[3]) / (2 * kTagMarkerMm);
  const Eigen::Vector2d down = (corner[2] + corner[3] - corner[0] - corner[1]) / (2 * kTagMarkerMm);
  tag.place.pointer = -down.normalized();
  const auto at = [&](double x, double y) -> Eigen::Vector2d {
    return tag.place.centre_mm + x * right + y * down;
  };
  const double x0 = kTagPaper.x - kHideMm, x1 = kTagPaper.right() + kHideMm;
  const double y0 = kTagPaper.y - kHideMm, y1 = kTagPaper.bottom() + kHideMm;
  tag.paper = {at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)};
  return tag;
}

struct Scene {
  CalibratedPicture picture;
  std::vector<TagOnSheet> tags;
  std::vector<PlacedPiece> strips;  // left to right
  std::vector<PlacedPiece> others;  // too large for a chip, and no strip
  TagMatch match;
};

bool is_photo(const Scene& scene) {
  return scene.picture.m.kind == PictureKind::kPhoto;
}

Result<Scene> look(const cv::Mat& grey, std::optional<double> dpi_u, std::optional<double> dpi_v,
                   const PictureOptions& options) {
  Result<CalibratedPicture> picture = calibrate_picture(grey, dpi_u, dpi_v, options);
  if (!picture) return picture.failure();
  Scene scene;
  scene.picture = std::move(*picture);
  scene.picture.channel.deadline = options.deadline;
  for (const SeenTag& seen : scene.picture.tags) {
    scene.tags.push_back(on_sheet(seen, scene.picture.m.map));
    scene.picture.channel.hidden_mm.push_back(scene.tags.back().paper);
  }
  if (is_photo(scene)) return scene;
  // A narrow channel without a tag is find_strip's own affair.
  if (scene.picture.m.layout->kind == Channel::kOneStrip && scene.tags.empty()) return scene;
  for (const PlacedPiece& p : find_pieces(scene.picture.grey, scene.picture.m.map, scene.picture.channel))
    if (p.strip_like)
      scene.strips.push_back(p);
    else if (p.length_mm * p.width_mm > kLeastPieceMm2)
      scene.others.push_back(p);
  std::sort(scene.strips.begin(), scene.strips.end(),
            [](const auto& a, const auto& b) { return a.centre_mm.x() < b.centre_mm.x(); });
  std::vector<TagPlace> places;
  for (const TagOnSheet& tag : scene.tags) places.push_back(tag.place);
  scene.match = match_tags(scene.strips, places);
  return scene;
}

// The channel's part around one strip, everything else in it hidden.
StripSearch search_of(const Scene& scene, const PlacedPiece& strip) {
  StripSearch search = scene.picture.channel;
  Eigen::Vector2d low = strip.centre_mm, high = strip.centre_mm;
  for (const Eigen::Vector2d& corner : strip.grown(0)) {
    low = low.cwiseMin(corner);
    high = high.cwiseMax(corner);
  }
  const Eigen::Vector2d room(kBesideMm, kBeyondMm);
  search.low_mm = search.low_mm.cwiseMax(low - room);
  search.high_mm = search.high_mm.cwiseMin(high + room);
  for (const auto* pieces : {&scene.strips, &scene.others})
    for (const PlacedPiece& other : *pieces)
      if (&other != &strip) search.hidden_mm.push_back(other.grown(kHideMm));
  return search;
}

Result<PictureMeasurement> measure_one(const Scene& scene, std::size_t i) {
  StripSearch search = search_of(scene, scene.strips[i]);
  if (!scene.match.strips[i].at_fence_direction) search.fence_direction = -search.fence_direction;
  return measure_calibrated(scene.picture.grey, scene.picture.m, search, scene.picture.fit,
                            scene.picture.told);
}

// Without strips, or in a narrow channel without a tag: find_strip says what is to be said.
Result<PictureMeasurement> measure_channel(const Scene& scene) {
  return measure_calibrated(scene.picture.grey, scene.picture.m, scene.picture.channel, scene.picture.fit,
                            scene.picture.told);
}

bool only_one_untagged(const Scene& scene) {
  return scene.tags.empty() && scene.strips.size() == 1 && scene.others.empty();
}

StripOnSheet strip_on_sheet(const Scene& scene, std::size_t i) {
  const TaggedStrip& tagged = scene.match.strips[i];
  StripOnSheet strip;
  strip.centre_mm = scene.strips[i].centre_mm;
  if (tagged.tag) strip.bench = scene.tags[*tagged.tag].place.bench;
  if (tagged.problem && !only_one_untagged(scene))
    strip.measured = *tagged.problem;
  else
    strip.measured = measure_one(scene, i);
  return strip;
}

// In a photo with tags each strip is looked for in its own lane, and afterwards its tag must fit it.
StripsMeasurement measure_lanes(const Scene& scene, const Deadline& deadline) {
  StripsMeasurement all;
  all.layout = scene.picture.m.layout;
  std::vector<TagPlace> tags;
  for (const TagOnSheet& tag : scene.tags) tags.push_back(tag.place);
  std::vector<PlacedPiece> pieces;
  std::vector<std::size_t> measured;  // those of `all.strips` that have a piece
  std::vector<bool> told(tags.size(), false);
  for (const PhotoLane& lane : lanes_of(scene.picture.channel, tags)) {
    StripOnSheet strip;
    strip.measured = deadline.passed() ? Result<PictureMeasurement>(took_too_long())
                                       : measure_calibrated(scene.picture.grey, scene.picture.m, lane.search,
                                                            scene.picture.fit, scene.picture.told);
    strip.centre_mm = (lane.search.low_mm + lane.search.high_mm) / 2;
    if (strip.measured) {
      pieces.push_back(piece_of(strip.measured->outline));
      strip.centre_mm = pieces.back().centre_mm;
      measured.push_back(all.strips.size());
    } else {
      if (strip.measured.failure().code == "two-strips") strip.measured = several_in_lane(lane, tags);
      if (lane.tags.size() == 1) strip.bench = tags[lane.tags.front()].bench;
      for (const std::size_t t : lane.tags) told[t] = true;
    }
    all.strips.push_back(std::move(strip));
  }
  const TagMatch match = match_tags(pieces, tags);
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    StripOnSheet& strip = all.strips[measured[i]];
    if (match.strips[i].tag) strip.bench = tags[*match.strips[i].tag].bench;
    if (match.strips[i].problem) strip.measured = *match.strips[i].problem;
  }
  for (std::size_t t = 0; t < tags.size(); ++t)
    if (match.of_tag[t] && !told[t]) all.tags.push_back({tags[t].bench, *match.of_tag[t]});
  return all;
}

}  // namespace

Result<StripsMeasurement> measure_strips(const cv::Mat& grey, std::optional<double> dpi_u,
                                         std::optional<double> dpi_v, const PictureOptions& options) {
  const Result<Scene> scene = look(grey, dpi_u, dpi_v, options);
  if (!scene) return scene.failure();
  if (is_photo(*scene) && !scene->tags.empty()) return measure_lanes(*scene, options.deadline);
  StripsMeasurement all;
  all.layout = scene->picture.m.layout;
  for (std::size_t i = 0; i < scene->strips.size(); ++i) {
    if (options.deadline.passed()) return took_too_long();
    all.strips.push_back(strip_on_sheet(*scene, i));
  }
  for (std::size_t t = 0; t < scene->tags.size(); ++t)
    if (scene->match.of_tag.size() > t && scene->match.of_tag[t])
      all.tags.push_back({scene->tags[t].place.bench, *scene->match.of_tag[t]});
  if (scene->strips.empty()) {
    StripOnSheet strip;
    strip.centre_mm = (scene->picture.channel.low_mm + scene->picture.channel.high_mm) / 2;
    strip.measured = measure_channel(*scene);
    if (strip.measured || all.tags.empty()) all.strips.push_back(std::move(strip));
  }
  for (const PlacedPiece& other : scene->strips.empty() ? std::vector<PlacedPiece>() : scene->others) {
    StripOnSheet piece;
    piece.centre_mm = other.centre_mm;
    piece.measured = Failure{"not-a-strip", "Something in the channel is neither a strip nor a readable tag.",
                             "Take it away. A tag must lie flat, its print towards the scanner or camera."};
    all.strips.push_back(std::move(piece));
  }
  return all;
}

Result<PictureMeasurement> measure_only_strip(const cv::Mat& grey, std::optional<double> dpi_u,
                                              std::optional<double> dpi_v, const PictureOptions& options) {
  const Result<Scene> scene = look(grey, dpi_u, dpi_v, options);
  if (!scene) return scene.failure();
  if (options.deadline.passed()) return took_too_long();
  if (is_photo(*scene) && !scene->tags.empty()) {
    StripsMeasurement all = measure_lanes(*scene, options.deadline);
    if (all.strips.size() != 1) return kSeveral;
    Result<PictureMeasurement>& only = all.strips.front().measured;
    // What is wrong with its one tag says more than that it has none.
    if (!only && only.failure().code == "strip-without-tag" && !all.tags.empty())
      return all.tags.front().failure;
    return std::move(only);
  }
  if (scene->strips.size() != 1 && scene->picture.m.layout->kind == Channel::kWide &&
      scene->strips.size() + scene->tags.size() > 1)
    return kSeveral;
  if (scene->strips.size() != 1) return measure_channel(*scene);
  if (const auto& problem = scene->match.strips[0].problem; problem && !scene->tags.empty()) return *problem;
  return measure_one(*scene, 0);
}

}  // namespace tapersight
