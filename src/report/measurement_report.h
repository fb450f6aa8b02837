// Everything that is known at the end of one measurement: what text, JSON and overlay are made from.
#pragma once
#include <optional>
#include <string>

#include "base/units.h"
#include "caliper/judge.h"
#include "fence/fence_error.h"
#include "fence/sled_setup.h"
#include "pipeline/measure_picture.h"

namespace tapersight {

struct PictureFacts {
  std::string file;                    // as the person typed it
  int width_px = 0, height_px = 0;     //
  std::optional<double> dpi_u, dpi_v;  // pixels per inch that the file states
};

// A picture's measurement, or why there is none. `fence` is set whenever `measurement` holds a value, `move`
// when the set-up has a pivot distance as well.
struct MeasurementReport {
  std::string program_version;
  PictureFacts picture;
  PictureOptions options;
  SledSetup setup;
  Units units = Units::kInch;  // what a person reads; JSON is always in mm and rad
  Result<PictureMeasurement> measurement =
      Failure{"not-measured", "Nothing was measured.", "Measure a picture first."};
  std::optional<FenceError> fence;
  std::optional<FenceMove> move;
  std::optional<CaliperJudgement> caliper;  // when the same strip was read with a caliper as well
};

// Two widths read with a caliper, and what follows from them.
struct WidthsReport {
  std::string program_version;
  TwoWidths widths;
  SledSetup setup;
  Units units = Units::kInch;
  Taper taper;
  FenceError fence;
  std::optional<FenceMove> move;
};

// Works out the fence's error and the move from the measured taper. A taper that no fence makes
// ("taper-implausible") turns the measurement into that failure.
void conclude(MeasurementReport& report);

// The same for typed widths; `report` holds widths and setup. Failures: those of taper_from_widths,
// fence_error and correction_move.
Result<WidthsReport> conclude(WidthsReport report);

}  // namespace tapersight
