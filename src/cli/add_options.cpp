#include "cli/add_options.h"

#include <algorithm>

namespace tapersight {

void add_sled_options(CLI::App& command, SledOptions& options, const std::vector<std::string>& only) {
  for (const NamedSledOption& option : sled_options()) {
    if (!only.empty() && std::find(only.begin(), only.end(), option.name) == only.end()) continue;
    command.add_option(std::string("--") + option.name, options.*(option.value), option.help)
        ->type_name(option.type)
        ->group("The sled");
  }
  if (only.empty() || std::find(only.begin(), only.end(), "pivot-distance") != only.end())
    command
        .add_flag("--even-so", options.even_so,
                  "Accept odd lengths as typed, and a move longer than any slot")
        ->group("The sled");
  command.add_option("--config", options.config, "A file that holds these options for one sled")
      ->type_name("FILE")
      ->group("The sled");
}

void add_shop_options(CLI::App& command, SledOptions& options) {
  for (const NamedSledOption& option : shop_options())
    command.add_option(std::string("--") + option.name, options.*(option.value), option.help)
        ->type_name(option.type)
        ->group("What to do about it");
}

void add_ring_options(CLI::App& command, RingOptions& options) {
  const char* group = "A mitre checked by a ring's closing gap";
  command
      .add_option(
          "--ring-pieces", options.pieces,
          "A ring of N pieces was cut: what is measured is its closing gap, or the strip that fits it")
      ->type_name("N")
      ->group(group);
  command.add_option("--mitred-ends", options.mitred_ends, "Ends of each piece that this fence cut (2)")
      ->type_name("1|2")
      ->group(group);
  command
      .add_option("--lean", options.lean,
                  "Which way the fence is turned from square, seen from above (clockwise)")
      ->type_name("clockwise|counterclockwise")
      ->group(group);
}

void add_bar_options(CLI::App& command, std::optional<std::string>& bar_x,
                     std::optional<std::string>& bar_y) {
  const char* group = "The printed sheet";
  command
      .add_option("--bar-x", bar_x,
                  "Check bar x as you measured it with a rule, end tick to end tick; makes the widths right")
      ->type_name("LENGTH")
      ->group(group);
  command.add_option("--bar-y", bar_y, "Check bar y, likewise; makes the lengths right")
      ->type_name("LENGTH")
      ->group(group);
}

void add_caliper_options(CLI::App& command, CaliperOptions& options) {
  for (const NamedCaliperOption& option : caliper_options())
    command.add_option(option.name, options.*(option.value), option.help)
        ->type_name(option.type)
        ->group("The caliper");
}

}  // namespace tapersight
