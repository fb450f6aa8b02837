// The whole command line, described: what main parses, and what man pages and completions are made from.
#pragma once
#include <CLI/CLI.hpp>
#include <vector>

#include "cli/command.h"

namespace tapersight {

// Names the program, and adds all of its commands.
std::vector<Command> describe_program(CLI::App& program);

}  // namespace tapersight
