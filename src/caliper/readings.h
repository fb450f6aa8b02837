// What a person measures with a caliper, and what the caliper claims of itself. All lengths in mm.
#pragma once
#include <string>
#include <vector>

#include "base/result.h"

namespace tapersight {

enum class CaliperKind { kDigital, kDial, kVernier };

// What the caliper can be held to.
struct CaliperSpec {
  CaliperKind kind = CaliperKind::kDigital;
  // Step of the display or scale; 0 = the coarsest usual step that all the readings fit
  // (inferred_resolution).
  double resolution_mm = 0;
  // Maximum permissible error of a reading, +-. Taken as not shared by two readings: nothing says that it is.
  double limit_of_error_mm = 0.0254;
  bool limit_is_usual = true;  // the usual one of its kind, not from the caliper's own paper
  // Standard deviation of repeated readings on sawn wood that nobody would remark on (common practice, no
  // published source: a thousandth of an inch on clean metal, somewhat less than twice that peak to peak on
  // wood).
  double expected_scatter_mm = 0.02;
};

// Usual limits of error up to 200 mm (8 in): digital and dial +-0.001 in (0.02 mm is claimed by metric ones),
// vernier of 0.05 mm +-0.05 mm. From memory of ISO 13385-1 and ASME B89.1.14 classes; the caliper's own paper
// goes first.
CaliperSpec usual_spec(CaliperKind kind);

// "digital", "dial" or "vernier". Failure: bad-caliper-kind.
Result<CaliperKind> parse_caliper_kind(const std::string& text);
const char* caliper_kind_name(CaliperKind kind);

enum class ReadingPlace { kFenceEnd, kFarEnd, kClosedJaws, kBlock };
inline constexpr int kReadingPlaces = 4;
const char* place_name(ReadingPlace place);  // "fence end", "far end", "closed jaws", "block"

// Repeated readings, each list in the order taken.
struct CaliperReadings {
  std::vector<double> fence_end_mm;    // width of the strip near the end that touched the fence
  std::vector<double> far_end_mm;      // width near the other end
  std::vector<double> closed_jaws_mm;  // may be empty
  std::vector<double> block_mm;        // readings of a known block; may be empty
  double block_size_mm = 0;            // the block's true size; needed when block_mm is not empty
  double u_block_size_mm = 0.001;      // its standard uncertainty (a shop gauge block: 1 um, from memory)
  double distance_mm = 0;              // along the strip between the two places
  double u_distance_mm = 0.3;          // standard uncertainty of that: +-0.5 mm by a rule, rectangular

  std::vector<double>& at(ReadingPlace place);
  const std::vector<double>& at(ReadingPlace place) const;
};

// Distance between places that lie `from_end_mm` inside both ends of the strip. Failure:
// caliper-places-too-close when the places are less than a quarter of the strip apart.
Result<double> distance_between_places(double strip_length_mm, double from_end_mm);

// The coarsest of the steps that calipers have (0.01, 0.02, 0.05, 0.1 mm; 0.0005, 0.001 in; 1/128, 1/64 in)
// of which every reading is a whole multiple; the finest (0.01 mm or 0.0005 in, whichever is nearer) when
// there is none.
double inferred_resolution(const CaliperReadings& readings);

}  // namespace tapersight
