// The formats that this build reads.
#pragma once
#include <vector>

#include "formats/format.h"

namespace tapersight {

struct KnownFormat {
  bool (*recognised)(const std::string& bytes);
  FormatReader read;
};

// In the order in which they are asked.
const std::vector<KnownFormat>& known_formats();

}  // namespace tapersight
