// How every page looks: on a phone, on a desk, by day and by night, and printed.
#pragma once
#include <string_view>

namespace tapersight {

std::string_view page_style();

}  // namespace tapersight
