#include "base/markup.h"

#include <cstdint>

namespace tapersight {
namespace {

constexpr const char* kReplacement = "\xef\xbf\xbd";  // U+FFFD

unsigned char byte_at(std::string_view text, std::size_t at) {
  return static_cast<unsigned char>(text[at]);
}

// Bytes of the character that begins at `at`, or 0 where none does (RFC 3629, section 4).
std::size_t utf8_length(std::string_view text, std::size_t at) {
  const unsigned char lead = byte_at(text, at);
  if (lead < 0x80) return 1;
  const std::size_t length = lead >= 0xf0 ? 4 : lead >= 0xe0 ? 3 : 2;
  if (lead < 0xc2 || lead > 0xf4 || at + length > text.size()) return 0;
  const unsigned char second = byte_at(text, at + 1);
  const unsigned char low = lead == 0xe0 ? 0xa0 : lead == 0xf0 ? 0x90 : 0x80;
  const unsigned char high = lead == 0xed ? 0x9f : lead == 0xf4 ? 0x8f : 0xbf;
  if (second < low || second > high) return 0;
  for (std::size_t i = 2; i < length; ++i)
    if ((byte_at(text, at + i) & 0xc0) != 0x80) return 0;
  return length;
}

bool is_control(std::string_view character) {
  const unsigned char c = byte_at(character, 0);
  if (character.size() == 1) return (c < 0x20 && c != '\t' && c != '\n' && c != '\r') || c == 0x7f;
  return character.size() == 2 && c == 0xc2 && byte_at(character, 1) < 0xa0;  // U+0080..U+009F
}

std::string escaped(std::string_view character) {
  switch (character[0]) {
    case '&':
      return "&amp;";
    case '<':
      return "&lt;";
    case '>':
      return "&gt;";
    case '"':
      return "&quot;";
    case '\'':
      return "&#39;";
    default:
      return is_control(character) ? kReplacement : std::string(character);
  }
}

bool is_unreserved(unsigned char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '.' ||
         c == '_' || c == '~';
}

}  // namespace

std::string html_escape(std::string_view text) {
  std::string result;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = utf8_length(text, at);
    result += length == 0 ? kReplacement : escaped(text.substr(at, length));
    at += length == 0 ? 1 : length;
  }
  return result;
}

std::string relative_href(std::string_view path) {
  constexpr char kDigits[] = "0123456789ABCDEF";
  std::string result = "./";
  for (const char c : path) {
    const auto byte = static_cast<unsigned char>(c);
    if (is_unreserved(byte) || c == '/')
      result += c;
    else
      result += {'%', kDigits[byte >> 4], kDigits[byte & 15]};
  }
  return result;
}

std::string base64(std::string_view bytes) {
  constexpr char kAlphabet[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string result;
  result.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t at = 0; at < bytes.size(); at += 3) {
    std::uint32_t group = 0;
    for (std::size_t i = 0; i < 3; ++i)
      group = group << 8 | (at + i < bytes.size() ? byte_at(bytes, at + i) : 0U);
    for (std::size_t i = 0; i < 4; ++i)
      result += at + i <= bytes.size() ? kAlphabet[group >> (18 - 6 * i) & 63] : '=';
  }
  return result;
}

}  // namespace tapersight
