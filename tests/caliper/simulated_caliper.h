// Calipers with known faults measuring strips with known tapers beside a picture with a known uncertainty.
#pragma once
#include <optional>

#include "base/rng.h"
#include "caliper/judge.h"

namespace tapersight::testing {

// What one simulated measurement is made of; everything else is drawn at random by simulate().
struct SimulatedFault {
  double zero_mm = 0;     // added to every reading
  double scale = 0;       // readings are too long by this fraction
  double scatter_mm = 0;  // standard deviation of a reading; 0 = that of a sound caliper
  double difference_in_U =
      0;  // extra error of the difference, in sqrt(U_caliper^2 + U_picture^2) of a sound caliper
  int bad_readings = 0;  // gross slips among the strip's readings: swapped digits, wrong unit, other end
};

struct SimulatedMeasurement {
  CaliperReadings readings;
  CaliperSpec spec;
  PictureTaper picture;
  double true_taper = 0;
};

// Sound calipers: scatter 2 to 18 um, step 0.01 mm, 0.0005 in or 0.001 in, limit of error 0.01 to 0.0254 mm
// drawn rectangular and independent at each end; 3 to 10 readings an end; 5 of the closed jaws and of a 25.4
// mm block; strips 180 to 300 mm long between the places, tapers up to +-1.5 mm; picture u = 2 to 12 um over
// the strip.
SimulatedMeasurement simulate(Rng& rng, const SimulatedFault& fault);

}  // namespace tapersight::testing
