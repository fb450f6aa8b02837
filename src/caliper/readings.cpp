#include "caliper/readings.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "base/units.h"

namespace tapersight {
namespace {

double distance_from_multiples(const CaliperReadings& readings, double step) {
  double worst = 0;
  for (int place = 0; place < kReadingPlaces; ++place)
    for (const double value : readings.at(static_cast<ReadingPlace>(place))) {
      const double steps = value / step;
      worst = std::max(worst, std::abs(steps - std::round(steps)) * step);
    }
  return worst;
}

}  // namespace

CaliperSpec usual_spec(CaliperKind kind) {
  CaliperSpec spec;
  spec.kind = kind;
  if (kind == CaliperKind::kVernier) spec.limit_of_error_mm = 0.05;
  return spec;
}

Result<CaliperKind> parse_caliper_kind(const std::string& text) {
  const std::string word = lower_case(trimmed(text));
  for (const CaliperKind kind : {CaliperKind::kDigital, CaliperKind::kDial, CaliperKind::kVernier})
    if (word == caliper_kind_name(kind)) return kind;
  return Failure{"bad-caliper-kind", "\"" + text + "\" is not a kind of caliper known here.",
                 "Write digital, dial or vernier."};
}

const char* caliper_kind_name(CaliperKind kind) {
  switch (kind) {
    case CaliperKind::kDial:
      return "dial";
    case CaliperKind::kVernier:
      return "vernier";
    case CaliperKind::kDigital:
      break;
  }
  return "digital";
}

const char* place_name(ReadingPlace place) {
  switch (place) {
    case ReadingPlace::kFarEnd:
      return "far end";
    case ReadingPlace::kClosedJaws:
      return "closed jaws";
    case ReadingPlace::kBlock:
      return "block";
    case ReadingPlace::kFenceEnd:
      break;
  }
  return "fence end";
}

const std::vector<double>& CaliperReadings::at(ReadingPlace place) const {
  switch (place) {
    case ReadingPlace::kFarEnd:
      return far_end_mm;
    case ReadingPlace::kClosedJaws:
      return closed_jaws_mm;
    case ReadingPlace::kBlock:
      return block_mm;
    case ReadingPlace::kFenceEnd:
      break;
  }
  return fence_end_mm;
}

std::vector<double>& CaliperReadings::at(ReadingPlace place) {
  return const_cast<std::vector<double>&>(static_cast<const CaliperReadings&>(*this).at(place));
}

Result<double> distance_between_places(double strip_length_mm, double from_end_mm) {
  const double distance = strip_length_mm - 2 * from_end_mm;
  if (from_end_mm >= 0 && distance >= strip_length_mm / 4) return distance;
  return Failure{"caliper-places-too-close",
                 "Readings " + fixed(from_end_mm, 1) + " mm from both ends of a strip of " +
                     fixed(strip_length_mm, 1) + " mm do not leave enough strip between them.",
                 "Measure close to the two ends, and give the distance from the end, not along the strip."};
}

double inferred_resolution(const CaliperReadings& readings) {
  const std::array<double, 8> steps = {kMmPerInch / 64,  kMmPerInch / 128,  0.1,  0.05,   //
                                       kMmPerInch / 1e3, kMmPerInch / 2000, 0.02, 0.01};  // coarsest first
  constexpr double kTyping = 1e-5;  // mm; a sixty-fourth typed with five decimals of an inch is off by less
  for (const double step : steps)
    if (distance_from_multiples(readings, step) < kTyping) return step;
  return distance_from_multiples(readings, 0.01) <= distance_from_multiples(readings, kMmPerInch / 2000)
             ? 0.01
             : kMmPerInch / 2000;
}

}  // namespace tapersight
