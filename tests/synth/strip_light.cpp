#include "synth/strip_light.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "synth/coverage.h"
#include "synth/light_image.h"
#include "synth/strip_shape.h"
#include "synth/wood_texture.h"

namespace tapersight {
namespace {

using Points = std::vector<Eigen::Vector2d>;

// The walls that are in view. Sides of a strip: left, right, far end, fence end.
struct Walls {
  std::vector<Outline> outlines;
  bool seen[4] = {false, false, false, false};
};

// Where the points of the lower face are seen on the glass.
Points to_glass(const Points& points, const StripScene& strip, const Eigen::Affine2d& glass_from_strip) {
  Points mapped;
  mapped.reserve(points.size());
  for (const auto& p : points) mapped.push_back(seen_on_glass(strip, glass_from_strip, p));
  return mapped;
}

// What lies this far off the glass is seen nearer to the sensor's middle by this factor.
double lens_factor(const LiftScene& lift, double height_mm) {
  return (lift.lens_distance_mm + height_mm) / lift.lens_distance_mm;
}

// Where a point of the contact arris' twin on the far face is seen.
Eigen::Vector2d far_arris(const WallScene& wall, const Eigen::Vector2d& contact,
                          const Eigen::Vector2d& outward) {
  if (wall.mode == WallScene::Mode::kBand) return contact + wall.band_mm * outward;
  return {contact.x() * wall.lens_distance_mm / (wall.lens_distance_mm + wall.thickness_mm), contact.y()};
}

void add_walls(const StripScene& strip, const StripPiece& piece, const Eigen::Affine2d& from_strip,
               Walls& walls) {
  const WallScene& wall = strip.wall;
  const Points* sides[4] = {&piece.left, &piece.right, &piece.far_end, &piece.fence_end};
  const Eigen::Vector2d outward[4] = {{-1, 0}, {1, 0}, {0, -1}, {0, 1}};
  for (int s = 0; s < 4; ++s) {
    const bool band_here = s == (wall.band_side == StripSide::kRight ? 1 : 0);
    if (wall.mode == WallScene::Mode::kBand && !band_here) continue;
    const Eigen::Vector2d direction = from_strip.linear() * outward[s];
    Points points = to_glass(*sides[s], strip, from_strip);
    const Eigen::Vector2d middle = points[points.size() / 2];
    if (!((far_arris(wall, middle, direction) - middle).dot(direction) > 1e-3)) continue;
    const auto count = points.size();
    for (std::size_t k = 0; k < count; ++k)
      points.push_back(far_arris(wall, points[count - 1 - k], direction));
    walls.outlines.push_back({points, 1});
    walls.seen[s] = true;
  }
}

// The part of the light that the shadow takes at (v, u).
double side_shadow_at(const StripScene& strip, const ShadowScene& shadow, double v, double u) {
  const double sign = shadow.side == StripSide::kLeft ? -1 : 1;
  if (shadow.side == StripSide::kNone) return 0;
  const double from_edge = std::max(0.0, sign * (v - straight_edge(strip, shadow.side, u)));
  const double past_end = std::max(0.0, std::abs(u) - strip.length_mm / 2);
  const double soft = std::max(shadow.soft_mm, 1e-6);
  const double other_side = 0.5 + sign * v / strip.width_mm;  // 1 at the shadow's edge, 0 at the other one
  return shadow.depth * smooth_step((shadow.width_mm + soft - from_edge) / (2 * soft)) *
         smooth_step(1 - past_end / soft) * smooth_step(other_side);
}

double end_shadow_at(const StripScene& strip, const EndShadowScene& shadow, double v, double u) {
  const double past = (shadow.fence_end ? u : -u) - strip.length_mm / 2;
  const double soft = std::max(shadow.soft_mm, 1e-6);
  const double aside = std::abs(v - shadow.sideways * std::max(past, 0.0)) - strip.width_mm / 2;
  return shadow.depth * smooth_step((shadow.length_mm + soft - past) / (2 * soft)) *
         smooth_step(1 + past / soft) * smooth_step(0.5 - aside / (2 * soft));
}

// The part of the light that is left at (v, u).
double light_left_at(const StripScene& strip, double v, double u) {
  double left = 1 - side_shadow_at(strip, strip.shadow, v, u);
  for (const ShadowScene& shadow : strip.more_shadows) left *= 1 - side_shadow_at(strip, shadow, v, u);
  for (const EndShadowScene& shadow : strip.end_shadows) left *= 1 - end_shadow_at(strip, shadow, v, u);
  return left;
}

double shadow_reach_mm(const StripScene& strip) {
  const auto of_side = [](const ShadowScene& shadow) {
    return shadow.side == StripSide::kNone ? 0 : shadow.width_mm + shadow.soft_mm;
  };
  double reach = of_side(strip.shadow);
  for (const ShadowScene& shadow : strip.more_shadows) reach = std::max(reach, of_side(shadow));
  for (const EndShadowScene& shadow : strip.end_shadows)
    reach = std::max(reach, shadow.length_mm + shadow.soft_mm);
  return reach;
}

double band_reach_mm(const StripScene& strip) {
  double reach = 0;
  for (const BandScene& band : strip.bands) {
    const double lean = std::max(std::abs(band.low_lean), std::abs(band.high_lean)) * strip.length_mm / 2;
    const double out = std::max(std::abs(band.low_mm), std::abs(band.high_mm)) + lean - strip.width_mm / 2;
    reach = std::max({reach, band.past_mm, out + band.soft_mm + band.waver_um / 1000});
  }
  return reach;
}

// The part of a pixel, `footprint` wide, that a band covers at (v, u).
double band_at(const StripScene& strip, const BandScene& band, double v, double u, double footprint) {
  if (std::abs(u) > strip.length_mm / 2 + band.past_mm) return 0;
  const double waver = band.waver_um / 1000 * std::sin(2 * CV_PI * u / band.waver_mm);
  const double fade = std::max(footprint, band.soft_mm);
  const auto inside = [&](double by) { return std::clamp(by / fade + 0.5, 0.0, 1.0); };
  const double low = band.low_mm + band.low_lean * u + waver,
               high = band.high_mm + band.high_lean * u + waver;
  return std::max(0.0, inside(v - low) + inside(high - v) - 1);
}

// What the bands make of a pixel's light from the wood and from beside it; `face`: the part that is wood.
void lay_bands(const StripScene& strip, double v, double u, double footprint, float face, int channels,
               float* of_face, float* of_ground) {
  for (const BandScene& band : strip.bands) {
    const auto part = static_cast<float>(band_at(strip, band, v, u, footprint));
    if (part == 0) continue;
    const auto lay = [&](float* light, float area) {
      const float left = 1 - part;
      for (int k = 0; k < channels; ++k)
        light[k] = left * light[k] + part * (band.cover >= 0 ? area * static_cast<float>(band.cover)
                                                             : static_cast<float>(band.factor) * light[k]);
    };
    if (band.on_face) lay(of_face, face);
    if (band.on_ground) lay(of_ground, 1 - face);
  }
}

// Everything the pixel loop needs besides the picture.
struct StripLayers {
  Coverage face;
  cv::Mat wall;        // area of the wall, or empty
  cv::Mat silhouette;  // blurred area of face and wall, or empty
  bool seen[4] = {false, false, false, false};
};

StripLayers make_layers(const StripScene& strip, const StripTruth& truth, const ScannerMap& map,
                        std::uint64_t seed) {
  std::vector<Outline> faces;
  Walls walls;
  for (const StripPiece& piece : make_strip_shape(strip, seed).pieces) {
    faces.push_back({to_glass(piece.outline(), strip, truth.glass_from_strip), 1});
    if (strip.wall.mode != WallScene::Mode::kNone) add_walls(strip, piece, truth.glass_from_strip, walls);
  }
  std::vector<Outline> everything = faces;
  everything.insert(everything.end(), walls.outlines.begin(), walls.outlines.end());
  const double pixels_per_mm = (truth.left_px.fence_end - truth.left_px.far_end).norm() / truth.length_mm;
  const double blur_px = strip.wall.far_arris_blur_mm * pixels_per_mm;
  const int spare = static_cast<int>(
      std::ceil(5 * blur_px + std::max(shadow_reach_mm(strip), band_reach_mm(strip)) * pixels_per_mm));
  const cv::Rect roi = bounds_px(everything, map, spare);
  StripLayers layers;
  layers.face = cover(faces, map, roi);
  if (roi.empty() || walls.outlines.empty()) return layers;
  layers.wall = cover(walls.outlines, map, roi).area;
  std::copy(walls.seen, walls.seen + 4, layers.seen);
  if (blur_px > 0.05) {
    cv::Mat sum = cv::min(layers.face.area + layers.wall, 1.0);
    cv::GaussianBlur(sum, layers.silhouette, cv::Size(), blur_px, blur_px, cv::BORDER_REPLICATE);
  }
  return layers;
}

}  // namespace

void paint_strip(const StripScene& strip, const StripTruth& truth, const ScannerMap& map, std::uint64_t seed,
                 cv::Mat& light) {
  const StripLayers layers = make_layers(strip, truth, map, seed);
  const cv::Rect& roi = layers.face.roi;
  if (roi.empty()) return;
  const WoodTexture wood(strip, seed);
  const int channels = light.channels();
  const Tone tint = tinted(1, strip.wood.tint, channels);
  const Eigen::Affine2d strip_from_glass = truth.glass_from_strip.inverse();
  const Eigen::Matrix2d turn = strip_from_glass.linear();
  const double pitch = map.x_of_column(1) - map.x_of_column(0);
  const double footprint = pitch * (std::abs(turn(0, 0)) + std::abs(turn(0, 1)));
  const double half_length = strip.length_mm / 2;
  const bool lifted = strip.lift.far_mm != 0 || strip.lift.fence_mm != 0;
  std::vector<double> x_mm;
  std::vector<Eigen::Vector2d> offset_mm;
  for (int c = 0; c < roi.width; ++c) {
    x_mm.push_back(map.x_of_column(roi.x + c));
    offset_mm.push_back(map.chip_of_column(roi.x + c).offset_mm);
  }

  for (int r = 0; r < roi.height; ++r) {
    const float* face_row = layers.face.area.ptr<float>(r);
    const float* wall_row = layers.wall.empty() ? nullptr : layers.wall.ptr<float>(r);
    const float* blurred_row = layers.silhouette.empty() ? nullptr : layers.silhouette.ptr<float>(r);
    float* out = pixel_at(light, roi.y + r, roi.x);
    const double shift = map.shift_of_row(roi.y + r);
    const double stretch = map.stretch_of_row(roi.y + r);
    const double way = map.way_of_row(roi.y + r);
    const double skew = map.skew_of_row(roi.y + r);
    for (int c = 0; c < roi.width; ++c, out += channels) {
      const auto i = static_cast<std::size_t>(c);
      const double x = x_mm[i] * stretch + shift;
      const Eigen::Vector2d at = Eigen::Vector2d(x, way + skew * x) + offset_mm[i];
      Eigen::Vector2d p = strip_from_glass * at;
      if (lifted)
        p = strip_from_glass *
            Eigen::Vector2d(at.x() * lens_factor(strip.lift, lift_at(strip, p.y())), at.y());
      const float face = face_row[c];
      float wall = 0;
      if (wall_row != nullptr && blurred_row == nullptr) wall = wall_row[c];
      if (blurred_row != nullptr) {
        const int side = std::abs(p.y()) > half_length ? (p.y() < 0 ? 2 : 3) : (p.x() < 0 ? 0 : 1);
        if (layers.seen[side]) wall = std::max(0.0F, blurred_row[c] - face);
      }
      wall = std::min(wall, 1 - face);
      const float ground = (1 - face - wall) * static_cast<float>(light_left_at(strip, p.x(), p.y()));
      if (ground == 1 && strip.bands.empty()) continue;
      const bool drawn = face > 0 && !wood.photographed();
      const auto tone = drawn ? static_cast<float>(wood.reflectance(p.x(), p.y(), footprint)) : 0.0F;
      std::array<float, 3> of_face = {}, of_ground = {};
      for (int k = 0; k < channels; ++k) {
        const float tinted_k = tint[static_cast<std::size_t>(k)];
        of_face[static_cast<std::size_t>(k)] = face * tone * tinted_k;
        of_ground[static_cast<std::size_t>(k)] =
            ground * out[k] + wall * static_cast<float>(strip.wall.tone) * tinted_k;
      }
      if (face > 0 && !drawn) {
        const Tone photo = wood.photographed_light(p.x(), p.y(), footprint, channels);
        for (std::size_t k = 0; k < static_cast<std::size_t>(channels); ++k) of_face[k] = face * photo[k];
      }
      lay_bands(strip, p.x(), p.y(), footprint, face, channels, of_face.data(), of_ground.data());
      for (int k = 0; k < channels; ++k)
        out[k] = of_face[static_cast<std::size_t>(k)] + of_ground[static_cast<std::size_t>(k)];
    }
  }
}

}  // namespace tapersight
