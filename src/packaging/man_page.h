// Pages for man(1), section 1, in the macros of man(7).
#pragma once
#include <string>
#include <vector>

#include "packaging/described.h"

namespace tapersight {

struct ManPage {
  std::string file;  // "tapersight-measure.1"
  std::string text;
};

// One of the program, and one of each command right below it; the parts of a command stand on its page.
std::vector<ManPage> man_pages(const DescribedCommand& program, const std::string& version);

}  // namespace tapersight
