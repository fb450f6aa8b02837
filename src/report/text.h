// Results as a person reads them on the terminal: plain ASCII, one fact a line.
#pragma once
#include <string>

#include "report/measurement_report.h"
#include "report/record_report.h"

namespace tapersight {

// In the order in which a person asks: what was measured, how far the fence is out, the decision, the
// move, the procedure, the widths, warnings, cautions. Only for a report whose measurement holds a value.
std::string measurement_text(const MeasurementReport& report);

std::string correction_text(const WidthsReport& report);

// How to cut a test strip with this sled.
std::string guide_text(const SledSetup& setup, Units units);

// A sled's record: its entries, what they say, and the next move when one is due.
std::string record_text(const RecordReport& report);

// "Cannot measure: ..." with the remedy on a line of its own.
std::string failure_text(const Failure& failure);

}  // namespace tapersight
