// Numbers to text and back without the locale: the same bytes under every LANG.
#pragma once
#include <optional>
#include <string>
#include <string_view>

namespace tapersight {

// Fixed-point text with `decimals` digits behind the point, "-0.00" written as "0.00".
std::string fixed(double value, int decimals);

// A value and its expanded uncertainty, rounded as JCGM 100:2008, 7.2.6 advises: the uncertainty to two
// significant digits, the value to the same place; decimals never exceed `max_decimals`.
// Example: decimals_for(0.00123, 6) == 4, so that 0.0012 is printed.
int decimals_for(double uncertainty, int max_decimals);

// The whole of `text` as a finite number ("." is the decimal point), or nothing.
std::optional<double> parse_number(std::string_view text);

// `text` with "?" in the place of control characters, which would move a terminal's cursor or worse.
std::string printable(std::string text);

// `text` with each byte that is no part of a character in UTF-8 written as \xFF: JSON holds nothing else.
std::string valid_utf8(std::string_view text);

std::string_view trimmed(std::string_view text);
std::string lower_case(std::string_view text);  // ASCII letters only

}  // namespace tapersight
