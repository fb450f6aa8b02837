// Readings that do not belong to their neighbours: pointed out with a likely cause, never averaged in.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "caliper/readings.h"

namespace tapersight {

struct SuspectReading {
  ReadingPlace place = ReadingPlace::kFenceEnd;
  std::size_t number = 0;  // 1 = the first reading taken there
  double value_mm = 0;
  double others_mm = 0;            // median of the readings kept there
  double p = 0;                    // bound on the chance that a clean reading lies so far out
  std::string cause;               // what probably happened, in shop words; empty when nothing fits
  std::optional<double> meant_mm;  // what was probably meant
  bool explained = false;          // the slip is a telling one, not just a digit that would make it fit
};

struct Screening {
  CaliperReadings kept;
  std::vector<SuspectReading> suspects;  // by place, then number
};

// Level of the test. Rosner's test loses about twice its level with few readings, so this keeps clean sets of
// three to ten readings an end with about 1 % wrongly accused (caliper_suspects_test measures it).
inline constexpr double kSuspectLevel = 0.004;

// Generalised ESD test (numeric/outliers.h) over both ends of the strip together, and over jaws and block
// together; the scatter is taken as at least half a step of the display. A list of fewer than three readings
// loses none.
Screening screen_readings(const CaliperReadings& readings, double resolution_mm,
                          double level = kSuspectLevel);

}  // namespace tapersight
