// What is wrong with a command line, in the same two sentences as every other refusal.
#pragma once
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "base/result.h"

namespace tapersight {

// `words` as typed, without the program's name. Code "wrong-usage"; the remedy names the command, option or
// value that was probably meant, or the command's own example.
Failure usage_failure(const CLI::App& program, const std::vector<std::string>& words,
                      const CLI::ParseError& error);

}  // namespace tapersight
