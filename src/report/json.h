// Results as JSON for scripts: ordered keys, lengths in mm, angles in rad, numbers without the locale, a line
// feed at the end. An infinite number of degrees of freedom is written as null.
#pragma once
#include <string>

#include "assess/measurement_report.h"
#include "report/caliper_report.h"
#include "report/record_report.h"

namespace tapersight {

// Schema "tapersight.measurement.v1": status "measured", or "rejected" with the reason.
std::string measurement_json(const MeasurementReport& report);

// Schema "tapersight.caliper.v1": judgement and gauge study, where there are any, and the plan.
std::string caliper_json(const CaliperReport& report);

// Schema "tapersight.correction.v1": fence and correction as in a measurement.
std::string correction_json(const WidthsReport& report);

// Schema "tapersight.sled.v1": the record's entries and what they say.
std::string record_json(const RecordReport& report);

}  // namespace tapersight
