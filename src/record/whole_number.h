// Whole numbers out of JSON that others may have changed.
#pragma once
#include <nlohmann/json.hpp>

namespace tapersight {

// Throws the library's type_error for anything else than a whole number of at most nine digits: get<int>()
// would take 4e9 for some other number, 1e300 for anything, and true for 1.
template <typename Json>
int whole_number(const Json& value) {
  constexpr double kMost = 999'999'999;
  if (value.is_number_integer()) {
    const auto number = value.template get<double>();
    if (number >= -kMost && number <= kMost) return static_cast<int>(number);
  }
  throw Json::type_error::create(302, "not a whole number", &value);
}

}  // namespace tapersight
