// Readings as people write them down: a text file of one thing a line, or a list on the command line.
//
//   # anything behind a hash is a remark
//   units, in                     what a bare number means from here on ("in" or "mm")
//   caliper, digital              digital, dial or vernier
//   resolution, 0.0005 in
//   limit, 0.001 in               limit of error, from the caliper's paper
//   strip length, 8 in
//   readings at, 1/4 in           from both ends of the strip
//   fence end, .571, .570, .572   one reading or several; the same word may come again
//   far end, .506, .505, .507
//   closed jaws, 0, 0
//   block size, 1 in
//   block, 1.000, 1.0005
//   study, 3, Ann, 14.52 mm, 14.50 mm   gauge study: place, person, readings
//
// Fields are set apart by commas, or by semicolons or tabs when the line has any (then 14,52 is a number).
// Words may be written with capitals, hyphens or underscores; "fence", "far" and "zero" will do. A first line
// "end, reading" is taken as a heading.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/units.h"
#include "caliper/gauge_study.h"
#include "caliper/readings.h"

namespace tapersight {

struct CaliperFile {
  CaliperReadings readings;  // distance_mm is filled in when the file has the strip's length
  CaliperSpec spec;
  std::optional<double> strip_length_mm;
  std::optional<double> readings_at_mm;
  std::vector<StudyReading> study;
};

// `units`: what a bare number means until the file says otherwise.
// Failures: bad-caliper-file (names the line), caliper-places-too-close.
Result<CaliperFile> parse_caliper_file(std::string_view text, Units units);

// ".571, .570,.572" or with semicolons. Failures: those of parse_length; no-readings.
Result<std::vector<double>> parse_reading_list(std::string_view text, Units units);

// Puts the distance between the places into `file.readings`: `readings_at_mm` of the file, else
// `default_at_mm`. Does nothing without a strip length. Failure: caliper-places-too-close.
Result<bool> place_readings(CaliperFile& file, double default_at_mm);

inline constexpr double kDefaultReadingsAtMm =
    6.35;  // a quarter inch from the end: clear of a splintered corner

}  // namespace tapersight
