// What one would write first, for comparison: full-resolution markers, Canny, Hough, fitLine.
#pragma once
#include <optional>
#include <string>

namespace tapersight::testing {

// The taper, or nothing when no two long lines come out.
std::optional<double> plain_recipe_taper(const std::string& path);

}  // namespace tapersight::testing
