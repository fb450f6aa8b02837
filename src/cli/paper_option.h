// The paper to print on, as typed.
#pragma once
#include <string>

#include "base/result.h"
#include "target/sheet_layout.h"

namespace tapersight {

// "a4" or "letter". Failure: bad-paper.
Result<Paper> parse_paper(const std::string& text);

}  // namespace tapersight
