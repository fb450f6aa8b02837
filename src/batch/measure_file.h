// One picture of a class, from the file to its lines of the results.
#pragma once
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "batch/pictures.h"
#include "caliper/readings_file.h"
#include "formats/format.h"
#include "report/measurement_report.h"
#include "room/decoding_room.h"

namespace tapersight {

// What the roster and the command line say of one bench.
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
  DecodingRoom* room = nullptr;  // where pictures are decoded; null: in this process
  std::map<int, BenchSetup> benches;
  std::string digest;  // of what is the same for all benches

  std::string digest_of(int bench) const;  // "-" for a bench that the roster does not name
};

struct PictureOutcome {
  std::vector<std::string> lines;  // result_json
  std::vector<int> benches;        // whose set-up the lines depend on, in the roster or not
};

inline constexpr const char* kOverlayFolder = "overlays";

// Measures every strip and writes the overlays into `out_folder`/overlays. What is wrong with the picture
// stands in its lines, also when memory runs out ("out-of-memory") or something goes wrong inside
// ("internal-error"): the other pictures are not to suffer. Failure "file-not-writable" of an overlay.
Result<PictureOutcome> measure_file(const PictureFile& file, const ClassSetup& setup,
                                    const std::string& out_folder);

}  // namespace tapersight
