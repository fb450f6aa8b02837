// The options for caliper readings: the same for the commands and rosters that take them.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "caliper/readings_file.h"

namespace tapersight {

// As typed; unset where nothing was typed.
struct CaliperOptions {
  std::string file;
  std::optional<std::string> fence_end, far_end, closed_jaws, block, block_size;
  std::optional<std::string> kind, resolution, limit, strip_length, readings_at;

  bool given() const;  // anything at all
};

struct NamedCaliperOption {
  const char* name;  // with its dashes
  std::optional<std::string> CaliperOptions::*value;
  const char* type;
  const char* help;
};
const std::vector<NamedCaliperOption>& caliper_options();

// The place of the option called `name` ("far-end-readings", without dashes in front), or nullptr; and all of
// those names.
std::optional<std::string>* caliper_option_named(CaliperOptions& options, const std::string& name);
std::vector<std::string> caliper_option_names();

// The readings that stand beside a picture: two at each end at least. Failures: those of read_caliper,
// "caliper-too-few-readings".
Result<CaliperFile> read_caliper_beside_picture(const CaliperOptions& options, Units units);

// The file's readings with what was typed standing above them: a typed list replaces the file's list of that
// place. Failures: file-not-readable, those of readings_file.h, bad-caliper-kind, and those of parse_length.
Result<CaliperFile> read_caliper(const CaliperOptions& options, Units units);

}  // namespace tapersight
