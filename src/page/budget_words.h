// What a person can do about a part of the uncertainty budget.
#pragma once
#include <string>
#include <string_view>

namespace tapersight {

// What would shrink the row of taper/measure_strip.h with this stable name; for one that is not known here,
// the means that help in general.
std::string what_would_shrink(std::string_view source);

}  // namespace tapersight
