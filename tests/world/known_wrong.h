// The list of committed pictures that are known to be measured silently wrong.
#pragma once
#include <map>
#include <string>
#include <vector>

#include "bench/world_judge.h"

namespace tapersight::testing {

// By file name, the reason; lines of "NAME REASON", # for remarks.
std::map<std::string, std::string> read_known_wrong(const std::string& text);

// What does not agree between the list and what was measured, one sentence each; empty: they agree.
std::vector<std::string> complaints(const std::vector<WorldTrial>& trials,
                                    const std::map<std::string, std::string>& known);

}  // namespace tapersight::testing
