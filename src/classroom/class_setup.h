// What is said of a class: for all benches, and in the roster for each.
#pragma once
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "assess/measurement_report.h"
#include "caliper/readings_file.h"
#include "formats/format.h"
#include "options/sled_options.h"

namespace tapersight {

// Of one bench.
struct BenchSetup {
  SledSetup setup;
  Units units = Units::kInch;
  std::optional<Tolerance> tolerance;
  AdjustMeans means;
  std::optional<CaliperFile> caliper;
  std::string student;       // may be empty
  bool no_distance = false;  // how it is moved is known, but not the pivot's distance: no move is told
  std::string digest;        // changes with anything of the above
};

struct ClassSetup {
  std::string program_version;
  std::string group;  // the class' name, may be empty
  PictureOptions options;
  ReadOptions reading;
  std::map<int, BenchSetup> benches;
  std::string digest;  // of what is the same for all benches

  std::string digest_of(int bench) const;  // "-" for a bench that the roster does not name
};

struct ClassOptions {
  std::string program_version;
  SledOptions sled;  // for all benches, unless the roster says otherwise
  std::optional<std::string> bar_x, bar_y;
  std::string roster, group;  // the roster's file; the class' name
  ReadLimits limits;          // of the pictures
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
// The same with the roster's text, or none.
Result<ResolvedClass> resolve_class(const ClassOptions& options,
                                    const std::optional<std::string>& roster_text);

}  // namespace tapersight
