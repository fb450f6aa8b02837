// A result that was written as JSON, read back for the sled's record.
#pragma once
#include <string>

#include "base/result.h"
#include "record/entry.h"

namespace tapersight {

// The measured fence error of a measurement's or a correction's JSON, as the entry of the time `when`.
// Failures: not-a-result, result-rejected (the picture could not be measured).
Result<MeasurementEntry> measurement_from_result(const std::string& json, const std::string& when);

// The move that its procedure tells, with what the adjuster makes of it; `u_mm` is how exactly it was made.
// Failures: those above, no-move-told.
Result<MoveEntry> move_from_result(const std::string& json, const std::string& when, double u_mm);

}  // namespace tapersight
