// How the program ends: one number for scripts, two sentences on stderr for people.
#pragma once
#include "base/result.h"

namespace tapersight {

enum ExitStatus { kMeasured = 0, kWrongUsage = 2, kNotMeasurable = 3, kFileTrouble = 4 };

// kFileTrouble for failures of reading and writing files, otherwise `otherwise`.
ExitStatus status_of(const Failure& failure, ExitStatus otherwise);

// Says on stderr what is the matter and what to do. Returns the status.
int report_failure(const Failure& failure, ExitStatus status);
// Wrong usage, unless it is file trouble.
int report_wrong_usage(const Failure& failure);

}  // namespace tapersight
