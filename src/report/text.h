// Results as a person reads them on the terminal: plain ASCII, one fact a line.
#pragma once
#include <string>

#include "assess/measurement_report.h"
#include "report/lines.h"
#include "report/record_report.h"

namespace tapersight {

// The answer (answer.h), at most eight lines of 80 columns; with `details` the rest after it, in the order in
// which a person asks: the procedure, the error, the decision, the move, the strip, how it was measured,
// notes. Only for a report whose measurement holds a value.
std::string measurement_text(const MeasurementReport& report, const Terminal& terminal = {},
                             bool details = false);

std::string correction_text(const WidthsReport& report, const Terminal& terminal = {}, bool details = false);

// How to cut a test strip with this sled.
std::string guide_text(const SledSetup& setup, Units units, const Terminal& terminal = {});

// A sled's record: its entries, what they say, and the next move when one is due.
std::string record_text(const RecordReport& report, const Terminal& terminal = {});

// "Cannot measure: ..." with the remedy on a line of its own.
std::string failure_text(const Failure& failure, const Terminal& terminal = {});

}  // namespace tapersight
