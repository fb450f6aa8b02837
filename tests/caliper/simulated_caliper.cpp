#include "caliper/simulated_caliper.h"

#include <cmath>
#include <string>

#include "base/units.h"

namespace tapersight::testing {
namespace {

struct Instrument {
  double zero_mm, scale, scatter_mm, step_mm;

  double read(double true_mm, double local_error_mm, Rng& rng) const {
    const double exact = zero_mm + (1 + scale) * true_mm + local_error_mm + scatter_mm * rng.normal();
    return std::round(exact / step_mm) * step_mm;
  }
};

std::vector<double> repeated(const Instrument& caliper, double true_mm, double local_error_mm, int n,
                             Rng& rng) {
  std::vector<double> readings;
  readings.reserve(static_cast<std::size_t>(n));
  for (int i = 0; i < n; ++i) readings.push_back(caliper.read(true_mm, local_error_mm, rng));
  return readings;
}

// One of the slips that people make; the result differs from the true reading by at least half a millimetre.
double slipped(double reading_mm, double other_end_mm, Rng& rng) {
  std::string digits = std::to_string(std::lround(reading_mm / (kMmPerInch / 1000)));
  switch (rng.integer(0, 2)) {
    case 0:
      std::swap(digits[0], digits[1]);
      if (digits[0] == digits[1]) break;
      return static_cast<double>(std::stoll(digits)) * kMmPerInch / 1000;
    case 1:
      if (std::abs(other_end_mm - reading_mm) < 0.5) break;
      return other_end_mm;
    default:
      break;
  }
  return reading_mm * kMmPerInch;  // millimetres among inches
}

}  // namespace

SimulatedMeasurement simulate(Rng& rng, const SimulatedFault& fault) {
  SimulatedMeasurement m;
  const double steps[] = {0.01, kMmPerInch / 2000, kMmPerInch / 1000};
  m.spec.resolution_mm = steps[rng.integer(0, 2)];
  m.spec.limit_of_error_mm = rng.uniform(0.01, 0.0254);
  const int n = rng.integer(3, 10);
  const double scatter = rng.uniform(0.002, 0.018);
  const double far = rng.uniform(12, 16);
  const double difference = rng.uniform(-1.5, 1.5);
  const double distance = rng.uniform(180, 300);
  m.true_taper = difference / distance;
  m.readings.distance_mm = distance + 0.3 * rng.normal();

  const double u_picture_mm = rng.uniform(0.002, 0.012);
  m.picture.u_taper = u_picture_mm / distance;
  m.picture.taper = m.true_taper + m.picture.u_taper * rng.normal();
  const double common = 0.05 * rng.normal();
  m.picture.widths =
      PictureWidths{far + difference + common, far + common, u_picture_mm / std::sqrt(2.0), 0.05};

  const double u_caliper =
      std::sqrt(2 * scatter * scatter / n + 2 * m.spec.limit_of_error_mm * m.spec.limit_of_error_mm / 3);
  const double wrong = fault.difference_in_U * 2 * std::hypot(u_caliper, u_picture_mm);
  const Instrument caliper{fault.zero_mm, fault.scale, fault.scatter_mm > 0 ? fault.scatter_mm : scatter,
                           m.spec.resolution_mm};
  const auto local = [&] { return rng.uniform(-m.spec.limit_of_error_mm, m.spec.limit_of_error_mm); };
  m.readings.fence_end_mm = repeated(caliper, far + difference, local() + wrong, n, rng);
  m.readings.far_end_mm = repeated(caliper, far, local(), n, rng);
  m.readings.closed_jaws_mm = repeated(caliper, 0, 0, 5, rng);
  m.readings.block_size_mm = kMmPerInch;
  m.readings.block_mm = repeated(caliper, kMmPerInch, local(), 5, rng);
  for (int i = 0; i < fault.bad_readings; ++i) {
    auto& values = i % 2 == 0 ? m.readings.fence_end_mm : m.readings.far_end_mm;
    const auto at = static_cast<std::size_t>(rng.integer(0, n - 1));
    values[at] = slipped(values[at], i % 2 == 0 ? far : far + difference, rng);
  }
  return m;
}

}  // namespace tapersight::testing
