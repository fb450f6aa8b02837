#include "synth/bench_texture.h"

#include <Eigen/Geometry>
#include <cmath>

#include "base/rng.h"
#include "synth/roughness.h"

namespace tapersight {
namespace {

constexpr double kBoardLengthMm = 900;
constexpr double kPlainWidthMm = 300;
constexpr double kJointMm = 0.7;

StripScene board_scene(const BenchScene& bench) {
  StripScene board;
  board.length_mm = kBoardLengthMm;
  board.width_mm = bench.plank_mm > 0 ? bench.plank_mm : kPlainWidthMm;
  board.wood.tone = bench.tone;
  board.wood.grain_contrast = bench.grain_contrast;
  board.wood.ring_mm = 5;
  board.wood.grain_wave_mm = 0.9;
  board.wood.grain_slope = 0.01;
  return board;
}

// To and fro between -half and half.
double folded(double x, double half) {
  const double period = 4 * half;
  const double t = x + half - period * std::floor((x + half) / period);
  return t < 2 * half ? t - half : 3 * half - t;
}

}  // namespace

BenchTexture::BenchTexture(const BenchScene& bench, std::uint64_t seed)
    : bench_(bench),
      board_(board_scene(bench), seed),
      turn_(Eigen::Rotation2Dd(-bench.angle_deg * M_PI / 180).toRotationMatrix()),
      seed_(seed) {}

double BenchTexture::reflectance(const Eigen::Vector2d& bench_mm, double footprint_mm) const {
  const Eigen::Vector2d p = turn_ * bench_mm;
  if (!(bench_.plank_mm > 0))
    return board_.reflectance(folded(p.y(), kPlainWidthMm / 2), folded(p.x(), kBoardLengthMm / 2),
                              footprint_mm);
  const double board = std::floor(p.y() / bench_.plank_mm);
  const double v = p.y() - (board + 0.5) * bench_.plank_mm;
  Rng rng(seed_ + static_cast<std::uint64_t>(static_cast<std::int64_t>(board)));
  const double tone = rng.uniform(0.85, 1.15);
  const double shift = rng.uniform(-kBoardLengthMm, kBoardLengthMm);
  const double joint = bench_.plank_mm / 2 - std::abs(v);
  return tone * (joint < kJointMm ? 0.3 : 1) *
         board_.reflectance(v, folded(p.x() + shift, kBoardLengthMm / 2), footprint_mm);
}

}  // namespace tapersight
