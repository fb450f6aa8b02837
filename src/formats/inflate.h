// zlib's compression taken apart with a bound.
#pragma once
#include <optional>
#include <string>
#include <string_view>

namespace tapersight {

// Nothing when the data are damaged, end early or give more than `most_bytes`.
std::optional<std::string> inflate_at_most(std::string_view packed, std::size_t most_bytes);

// How many bytes they are, without keeping them. Nothing as above, nor when the sum behind the data is not
// theirs.
std::optional<std::size_t> inflated_size(std::string_view packed, std::size_t most_bytes);

}  // namespace tapersight
