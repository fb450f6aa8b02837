// The options that several commands share, put on a command.
#pragma once
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "options/caliper_options.h"
#include "options/shop_options.h"
#include "options/sled_options.h"

namespace tapersight {

// --units, --turns, ... and --config; with a list, only those named in it and --config.
void add_sled_options(CLI::App& command, SledOptions& options, const std::vector<std::string>& only = {});
// --tolerance, --adjust and what the adjusters need.
void add_shop_options(CLI::App& command, SledOptions& options);
// --ring-pieces and what goes with it.
void add_ring_options(CLI::App& command, RingOptions& options);
// --bar-x and --bar-y: the printed sheet's check bars as measured with a rule.
void add_bar_options(CLI::App& command, std::optional<std::string>& bar_x, std::optional<std::string>& bar_y);
// --fence-end-readings, --far-end-readings, ...; the file and the strip's length are the command's own
// affair.
void add_caliper_options(CLI::App& command, CaliperOptions& options);

}  // namespace tapersight
