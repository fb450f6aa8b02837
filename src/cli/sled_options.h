// The options that describe a sled: the same for every command, and what a config file may hold.
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
#include <CLI/CLI.hpp>
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

// Adds --units, --turns, ... and --config to a command; with a list, only those named in it and --config.
void add_sled_options(CLI::App& command, SledOptions& options, const std::vector<std::string>& only = {});
// Adds --tolerance, --adjust and what the adjusters need.
void add_shop_options(CLI::App& command, SledOptions& options);

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
Result<ResolvedSled> resolve(const SledOptions& options);

}  // namespace tapersight
