#include "base/text.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#ifndef __cpp_lib_to_chars
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#endif

namespace tapersight {
namespace {

#ifdef __cpp_lib_to_chars

std::string fixed_digits(double value, int decimals) {
  char buffer[512];
  return {buffer,
          std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed, decimals).ptr};
}

std::optional<double> number_of(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

#else  // the browser's: its C library is as exact, and knows no locale but "C"

std::string fixed_digits(double value, int decimals) {
  char buffer[512];
  std::snprintf(buffer, sizeof buffer, "%.*f", decimals, value);
  return buffer;
}

std::optional<double> number_of(std::string_view text) {
  if (text.find_first_not_of("0123456789.eE+-") != std::string_view::npos || text.front() == '+')
    return std::nullopt;
  const std::string ended(text);
  char* end = nullptr;
  errno = 0;
  const double value = std::strtod(ended.c_str(), &end);
  if (errno == ERANGE || end != ended.c_str() + ended.size()) return std::nullopt;
  return value;
}

#endif

}  // namespace

std::string fixed(double value, int decimals) {
  std::string text = fixed_digits(value, decimals);
  if (!text.empty() && text[0] == '-' && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

int decimals_for(double uncertainty, int max_decimals) {
  if (!(uncertainty > 0) || !std::isfinite(uncertainty)) return max_decimals;
  const int decimals = 1 - static_cast<int>(std::floor(std::log10(uncertainty)));
  return std::clamp(decimals, 0, max_decimals);
}

std::optional<double> parse_number(std::string_view text) {
  text = trimmed(text);
  if (!text.empty() && text[0] == '+') text.remove_prefix(1);
  if (text.empty()) return std::nullopt;
  const auto value = number_of(text);
  return value && std::isfinite(*value) ? value : std::nullopt;
}

std::string printable(std::string text) {
  for (char& c : text)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = '?';
  return text;
}

std::string valid_utf8(std::string_view text) {
  // How long the character at the front is, by the table of RFC 3629, 4; 0 when it is none.
  const auto length = [](std::string_view t) -> std::size_t {
    const auto byte = [&](std::size_t i) -> unsigned {
      return i < t.size() ? static_cast<unsigned char>(t[i]) : 0;
    };
    const auto tail = [&](std::size_t i) { return byte(i) >= 0x80 && byte(i) <= 0xbf; };
    const unsigned first = byte(0), second = byte(1);
    if (first < 0x80) return 1;
    if (first >= 0xc2 && first <= 0xdf && tail(1)) return 2;
    const bool second_fits = tail(1) && (first != 0xe0 || second >= 0xa0) &&
                             (first != 0xed || second <= 0x9f) && (first != 0xf0 || second >= 0x90) &&
                             (first != 0xf4 || second <= 0x8f);
    if (first >= 0xe0 && first <= 0xef && second_fits && tail(2)) return 3;
    if (first >= 0xf0 && first <= 0xf4 && second_fits && tail(2) && tail(3)) return 4;
    return 0;
  };
  std::string valid;
  while (!text.empty()) {
    const std::size_t n = length(text);
    if (n > 0) {
      valid += text.substr(0, n);
    } else {
      const auto byte = static_cast<unsigned char>(text.front());
      valid += {'\\', 'x', "0123456789ABCDEF"[byte >> 4], "0123456789ABCDEF"[byte & 15]};
    }
    text.remove_prefix(std::max<std::size_t>(n, 1));
  }
  return valid;
}

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

std::string lower_case(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return result;
}

}  // namespace tapersight
