#include "formats/zeroed.h"

#include <algorithm>
#include <array>

#include "formats/heic_structure.h"

namespace tapersight {
namespace {

unsigned byte_at(std::string_view bytes, std::size_t at) {
  return at < bytes.size() ? static_cast<unsigned char>(bytes[at]) : 0U;
}
std::size_t two_bytes(std::string_view bytes, std::size_t at) {
  return std::size_t{byte_at(bytes, at)} << 8 | byte_at(bytes, at + 1);
}

// The symbol whose code is nothing but zeros, of each table that was defined so far.
struct ZeroSymbols {
  std::array<std::array<int, 16>, 2> of{};  // [0: DC, 1: AC][table]

  // A DHT segment (B.2.4.2): class and number, how many codes of each length, the symbols by their codes.
  void define(std::string_view tables) {
    while (tables.size() > 17) {
      std::size_t symbols = 0;
      for (std::size_t i = 1; i <= 16; ++i) symbols += byte_at(tables, i);
      if (symbols == 0 || tables.size() < 17 + symbols) return;
      of[byte_at(tables, 0) >> 4 & 1][byte_at(tables, 0) & 15] = static_cast<int>(byte_at(tables, 17));
      tables.remove_prefix(17 + symbols);
    }
  }

  // Whether zeros can be data of the scan with this header (B.2.3): in each of its components they say that
  // nothing changes, or they are the plain bits of a refinement.
  bool may_be_data(std::string_view header, bool progressive) const {
    const std::size_t components = byte_at(header, 0);
    const unsigned first = byte_at(header, 1 + 2 * components),
                   refined = byte_at(header, 3 + 2 * components) >> 4;
    if (progressive && refined > 0) return true;
    for (std::size_t i = 0; i < components; ++i) {
      const unsigned tables = byte_at(header, 2 + 2 * i);
      const int dc = of[0][tables >> 4], ac = of[1][tables & 15];
      const bool even = progressive ? (first == 0 ? dc == 0 : (ac & 15) == 0) : dc == 0 && ac == 0;
      if (!even) return false;
    }
    return true;
  }
};

// From the coded data on, up to the next marker that is none of a restart.
std::string_view data_of_scan(std::string_view rest) {
  for (std::size_t at = rest.find('\xff'); at != std::string_view::npos; at = rest.find('\xff', at + 1)) {
    const unsigned code = byte_at(rest, at + 1);
    if (code != 0 && code != 0xff && (code < 0xd0 || code > 0xd7)) return rest.substr(0, at);
  }
  return rest;
}

}  // namespace

bool has_zeros(std::string_view bytes, std::size_t count) {
  // Every run of that length covers one of these places.
  for (std::size_t at = count - 1; at < bytes.size(); at += count) {
    if (bytes[at] != '\0') continue;
    std::size_t from = at, to = at + 1;
    while (from > 0 && bytes[from - 1] == '\0') --from;
    while (to < bytes.size() && bytes[to] == '\0') ++to;
    if (to - from >= count) return true;
  }
  return false;
}

bool jpeg_data_are_zeroed(std::string_view file) {
  constexpr std::size_t kRun = 64;
  ZeroSymbols zeros;
  bool progressive = false;
  for (std::size_t at = 2; at + 4 <= file.size();) {
    const unsigned code = byte_at(file, at + 1);
    if (byte_at(file, at) != 0xff || code == 0xff) {
      ++at;
      continue;
    }
    if (code == 0xd9) return false;
    const bool alone = code <= 1 || (code >= 0xd0 && code <= 0xd8);
    const std::size_t length = alone ? 0 : std::max<std::size_t>(2, two_bytes(file, at + 2));
    const std::string_view body = alone ? std::string_view() : file.substr(at + 4, length - 2);
    at += 2 + length;
    if (code == 0xc4) zeros.define(body);
    if (code == 0xc2) progressive = true;
    if (code != 0xda || at >= file.size()) continue;
    const std::string_view data = data_of_scan(file.substr(at));
    if (!zeros.may_be_data(body, progressive) && has_zeros(data, kRun)) return true;
    at += data.size();
  }
  return false;
}

bool webp_data_are_zeroed(std::string_view file) {
  constexpr std::size_t kLossy = 256, kLossless = 4096;
  for (std::size_t at = 12; at + 8 <= file.size();) {
    const std::string_view kind = file.substr(at, 4);
    std::size_t size = 0;
    for (std::size_t i = 4; i-- > 0;) size = size << 8 | byte_at(file, at + 4 + i);
    const std::string_view body = file.substr(at + 8, size);
    if ((kind == "VP8 " && has_zeros(body, kLossy)) || (kind == "VP8L" && has_zeros(body, kLossless)))
      return true;
    at += 8 + body.size() + (size & 1);
  }
  return false;
}

bool heic_data_are_zeroed(std::string_view file) {
  constexpr std::size_t kRun = 16;
  for (const std::string_view picture : coded_pictures(file))
    if (has_zeros(picture, kRun)) return true;
  return false;
}

}  // namespace tapersight
