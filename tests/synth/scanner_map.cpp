#include "synth/scanner_map.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "synth/light_image.h"
#include "synth/roughness.h"

namespace tapersight {
namespace {

constexpr double kCarriageHalfLengthMm = 150;
constexpr double kWidestX = 2;  // the picture reaches no further than this many sensor half widths

double sum_of(const std::vector<Jerk>& jerks, double y_mm) {
  double mm = 0;
  for (const Jerk& jerk : jerks) {
    const double past = y_mm - jerk.at_mm;
    mm += 1e-3 * jerk.step_um * smooth_step(0.5 + past / jerk.soft_mm);
    if (past > 0)
      mm += 1e-3 * jerk.ring_um * std::exp(-past / jerk.decay_mm) * std::sin(2 * M_PI * past / jerk.ring_mm);
  }
  return mm;
}

double interpolated(const std::vector<double>& values, double index) {
  if (values.empty()) return 0;
  const double clamped = std::clamp(index, 0.0, static_cast<double>(values.size() - 1));
  const auto i = std::min(static_cast<std::size_t>(clamped), values.size() - 1);
  const auto next = std::min(i + 1, values.size() - 1);
  return values[i] + (clamped - static_cast<double>(i)) * (values[next] - values[i]);
}

}  // namespace

ScannerMap::ScannerMap(const ScannerScene& scanner, int dpi, const Eigen::Vector2d& origin_mm,
                       const cv::Size& size_px, std::uint64_t seed)
    : scanner_(scanner),
      origin_(origin_mm),
      size_(size_px),
      pitch_x_(25.4 / dpi * scanner.scale_x),
      pitch_y_(25.4 / dpi * scanner.scale_y) {
  const auto rows = static_cast<std::size_t>(size_.height);
  const RoughnessModel jitter{1e-3 * scanner.jitter_um, scanner.jitter_correlation_mm, false};
  jitter_x_ = rough_profile(jitter, pitch_y_, rows, stream_seed(seed, "jitter x"));
  jitter_y_ = rough_profile(jitter, pitch_y_, rows, stream_seed(seed, "jitter y"));
  double largest = 0;
  for (double mm : jitter_y_) largest = std::max(largest, std::abs(mm));
  for (const Wave& wave : scanner.yaw_waves) largest += 1e-3 * std::abs(wave.amplitude_um) * kWidestX;
  spare_rows_ = 1 + static_cast<int>(std::ceil(largest / pitch_y_));
  for (std::size_t r = 0; r < rows; ++r) {
    const auto row = static_cast<double>(r);
    row_shift_.push_back(wobble(row) + jitter_x_[r]);
    row_skew_.push_back(skew_at(row));
    row_stretch_.push_back(stretch_at(row));
    row_top_.push_back(smooth_way(row - 0.5) + jitter_y_[r]);
    row_bottom_.push_back(smooth_way(row + 0.5) + jitter_y_[r]);
  }
  place_chips();
}

void ScannerMap::place_chips() {
  std::vector<SensorJoint> joints = scanner_.joints;
  std::sort(joints.begin(), joints.end(),
            [](const SensorJoint& a, const SensorJoint& b) { return a.x_mm < b.x_mm; });
  chips_ = {{std::numeric_limits<int>::min(), {0, 0}}};
  Eigen::Vector2d at_middle(0, 0);  // the chip at the sensor's middle stays where it is
  for (const SensorJoint& joint : joints) {
    const int column = static_cast<int>(std::lround((joint.x_mm - origin_.x()) / pitch_x_ + 0.5));
    chips_.push_back({column, chips_.back().offset_mm + 1e-3 * Eigen::Vector2d(joint.gap_um, joint.step_um)});
    if (joint.x_mm <= 0) at_middle = chips_.back().offset_mm;
  }
  for (Chip& chip : chips_) chip.offset_mm -= at_middle;
}

const ScannerMap::Chip& ScannerMap::chip_of_column(double column) const {
  auto chip = chips_.size() - 1;
  while (chip > 0 && column < chips_[chip].first_column - 0.5) --chip;
  return chips_[chip];
}

double ScannerMap::x_of_column(double column) const {
  const double x = origin_.x() + column * pitch_x_;
  const double n = x / scanner_.sensor_half_width_mm;
  return x + n * n * (scanner_.lens_quadratic_mm + n * scanner_.lens_cubic_mm);
}

double ScannerMap::column_of_x(double x_mm) const {
  const double h = scanner_.sensor_half_width_mm;
  const double a2 = scanner_.lens_quadratic_mm;
  const double a3 = scanner_.lens_cubic_mm;
  double x = x_mm;
  if (a2 != 0 || a3 != 0)
    for (int i = 0; i < 4; ++i) {  // Newton; the lens terms are small, so four steps reach the last digits
      const double n = x / h;
      x -= (x + n * n * (a2 + n * a3) - x_mm) / (1 + n * (2 * a2 + 3 * n * a3) / h);
    }
  return (x - origin_.x()) / pitch_x_;
}

double ScannerMap::smooth_way(double row) const {
  const double y = origin_.y() + row * pitch_y_;
  const double n = y / kCarriageHalfLengthMm;
  return y + n * n * (scanner_.carriage_quadratic_mm + n * scanner_.carriage_cubic_mm) +
         sum_of(scanner_.carriage_waves, y) + sum_of(scanner_.carriage_jerks, y);
}

double ScannerMap::smooth_row(double way_mm) const {
  double row = (way_mm - origin_.y()) / pitch_y_;
  for (int i = 0; i < 60; ++i) {  // fixed point: a carriage's errors are small changes of its speed
    const double step = (way_mm - smooth_way(row)) / pitch_y_;
    row += step;
    if (std::abs(step) < 1e-11) break;
  }
  return row;
}

double ScannerMap::skew_at(double row) const {
  return scanner_.skew +
         sum_of(scanner_.yaw_waves, origin_.y() + row * pitch_y_) / scanner_.sensor_half_width_mm;
}

double ScannerMap::wobble(double row) const {
  const double y = origin_.y() + row * pitch_y_;
  return sum_of(scanner_.wobble_waves, y) + sum_of(scanner_.wobble_jerks, y);
}

double ScannerMap::stretch_at(double row) const {
  return 1 + scanner_.cross_gradient * (origin_.y() + row * pitch_y_);
}

double ScannerMap::jitter_x(double row) const {
  return interpolated(jitter_x_, row);
}

double ScannerMap::jitter_y(double row) const {
  return interpolated(jitter_y_, row);
}

Eigen::Vector2d ScannerMap::glass_from_pixel(const Eigen::Vector2d& pixel) const {
  const double x = x_of_column(pixel.x()) * stretch_at(pixel.y()) + wobble(pixel.y()) + jitter_x(pixel.y());
  return Eigen::Vector2d(x, smooth_way(pixel.y()) + jitter_y(pixel.y()) + skew_at(pixel.y()) * x) +
         chip_of_column(pixel.x()).offset_mm;
}

Eigen::Vector2d ScannerMap::pixel_from_glass(const Eigen::Vector2d& glass_mm) const {
  Eigen::Vector2d pixel;
  for (std::size_t chip = 0; chip < chips_.size(); ++chip) {
    pixel = pixel_on_one_chip(glass_mm - chips_[chip].offset_mm);
    // What lies in a gap is seen by nobody: it goes to the joint.
    if (chip > 0) pixel.x() = std::max(pixel.x(), chips_[chip].first_column - 0.5);
    if (chip + 1 < chips_.size() && pixel.x() < chips_[chip + 1].first_column - 0.5) break;
  }
  return pixel;
}

Eigen::Vector2d ScannerMap::pixel_on_one_chip(const Eigen::Vector2d& glass_mm) const {
  double row = smooth_row(glass_mm.y() - scanner_.skew * glass_mm.x());
  for (int i = 0; i < 200; ++i) {
    const double next = smooth_row(glass_mm.y() - skew_at(row) * glass_mm.x() - jitter_y(row));
    const double step = next - row;
    row = next;
    if (std::abs(step) < 1e-11) break;
  }
  return {column_of_x((glass_mm.x() - wobble(row) - jitter_x(row)) / stretch_at(row)), row};
}

ScannerMap::RowRange ScannerMap::rows_seeing(const Eigen::Vector2d& from_mm,
                                             const Eigen::Vector2d& to_mm) const {
  const auto [low, high] =
      std::minmax({from_mm.y() - scanner_.skew * from_mm.x(), to_mm.y() - scanner_.skew * to_mm.x()});
  const double first = std::floor(smooth_row(low) + 0.5) - spare_rows_;
  const double last = std::ceil(smooth_row(high) - 0.5) + spare_rows_;
  return {static_cast<int>(std::max(first, 0.0)),
          static_cast<int>(std::min(last, static_cast<double>(size_.height - 1)))};
}

}  // namespace tapersight
