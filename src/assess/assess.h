// From pictures to a report: the one way of the command line, of a class and of the browser's page.
#pragma once
#include <cstddef>
#include <functional>
#include <optional>

#include "assess/measurement_report.h"
#include "caliper/readings_file.h"
#include "imaging/picture.h"

namespace tapersight {

struct Assessed {
  MeasurementReport report;
  Picture shown;  // the picture to show: the first, or the further one that was refused
};

// Reads picture 0, 1, ...: the report's own first, then its further ones.
using PictureReader = std::function<Result<Picture>(std::size_t number)>;

// `asked` holds the set-up, the options and the pictures' names, and no result yet. Reads and measures the
// pictures one after the other, at most two of them in memory; combines them, works out the fence's error,
// decides, plans the move, and judges the readings of a caliper beside it, where there are any. What cannot
// be measured is the report's own failure. Failures: those of `read`, "picture-twice" (a copy of another),
// "bad-region", those of judge_beside.
Result<Assessed> assess(MeasurementReport asked, const PictureReader& read,
                        const std::optional<CaliperFile>& readings = {});

// The readings of `file` beside the picture's strip: the strip's length is the picture's unless the file
// states one. Failures: those of place_readings and judge_caliper.
Result<CaliperJudgement> judge_beside(const CaliperFile& file, const PictureStrip& strip);

// Puts the judgement into a report that holds a measurement; does nothing without one, or without readings.
// Failures: those of judge_beside.
std::optional<Failure> judge_caliper_into(MeasurementReport& report,
                                          const std::optional<CaliperFile>& readings);

}  // namespace tapersight
