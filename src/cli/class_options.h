// What the command line and the roster say of a class.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "batch/measure_file.h"
#include "cli/sled_options.h"

namespace tapersight {

struct ClassOptions {
  SledOptions sled;  // for all benches, unless the roster says otherwise
  std::optional<std::string> bar_x, bar_y;
  std::string roster, group;
  ReadLimits limits;  // of the pictures
};

struct ResolvedClass {
  ClassSetup setup;
  Units units = Units::kInch;               // of the summary
  double cut_length_mm = 304.8;             // over which the class sheet states errors
  std::vector<std::string> unused_columns;  // of the roster
};

// Reads the roster, if one is given, and checks every bench before anything is measured. Failures: those of
// the roster, and those of resolve() and read_caliper(), with the roster's line.
Result<ResolvedClass> resolve_class(const ClassOptions& options);

}  // namespace tapersight
