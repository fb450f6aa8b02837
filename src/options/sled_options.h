// The options that describe a sled: the same for every command and for the page in the browser, and what a
// config file may hold.
//
// A config file has one option a line, named as on the command line without the dashes (TOML or INI):
//     # bench 7, crosscut sled
//     units = "in"
//     turns = 4
//     fence = "near"
//     strip-falls = "right"
//     pivot = "left"
//     pivot-distance = "45 in"
//     cut-length = "24 in"
//     tolerance = "2thou/12in"
//     adjust = "feelers"
//     feelers = "inch-32"
// What is typed on the command line stands above it.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "fence/adjustment.h"
#include "fence/sled_setup.h"
#include "fence/tolerance.h"

namespace tapersight {

// As typed; unset where nothing was typed.
struct SledOptions {
  std::optional<std::string> units, turns, fence, strip_falls, pivot, pivot_distance, cut_length;
  std::optional<std::string> tolerance, adjust, feelers, spacers, thread, shims, indicator;
  std::string config;    // the file's name, or empty
  bool even_so = false;  // take lengths that nobody has as they were typed
};

struct NamedSledOption {
  const char* name;
  std::optional<std::string> SledOptions::*value;
  const char* type;
  const char* help;
};

// --units, --turns, ...: what a sled is, without how it is judged and moved (shop_options.h).
const std::vector<NamedSledOption>& sled_options();

// Of all that a config file may hold; nullptr when there is none of that name.
const NamedSledOption* sled_option_named(const std::string& name);
std::vector<std::string> sled_option_names();

struct ResolvedSled {
  SledSetup setup;
  Units units = Units::kInch;          // in force on the command line
  std::optional<Tolerance> tolerance;  // the usual one unless one was given
  AdjustMeans means;
  bool even_so = false;
};

// Reads the config file, fills in what was not typed, and checks everything. A bare number in the config file
// is in the file's own units, if it states them. Failures: file-not-readable, bad-config, bad-units,
// bad-turns, pivot-distance-doubtful, those of sled_setup.h, adjustment.h and of parse_length,
// pivot-without-distance, adjust-without-distance, no-thread, and option-does-nothing for what was typed for
// another adjuster (a config file may name all that is at hand).
Result<ResolvedSled> resolve(const SledOptions& typed);
// The same with the words of a config file that was read before.
Result<ResolvedSled> resolve(const SledOptions& typed, const SledOptions& config);

// What a config file's text holds; `path` is its name in a refusal. Failure: bad-config.
Result<SledOptions> parse_sled_file(const std::string& path, const std::string& text);
// A config file's text: a remark of one line, and all that is set.
std::string sled_file_text(const std::string& remark, const SledOptions& sled);

}  // namespace tapersight
