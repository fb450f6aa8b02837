// All that is needed to measure the same picture again in the same way.
#pragma once
#include <string>
#include <utility>
#include <vector>

#include "assess/measurement_report.h"
#include "page/html.h"

namespace tapersight {

// The command line that measures this picture again with these settings, quoted for a POSIX shell. What stood
// in a config file is written out. Readings of a caliper and a sled's record are files of their own and left
// out: they change what is advised, not what is measured.
std::string repeat_command(const MeasurementReport& report);

// Versions, picture, sheet and set-up as a list of terms.
Markup settings_list(const MeasurementReport& report);

}  // namespace tapersight
