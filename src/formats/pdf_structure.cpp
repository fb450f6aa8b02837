#include "formats/pdf_structure.h"

#include <algorithm>
#include <cstdlib>

#include "formats/inflate.h"

namespace tapersight {
namespace {

constexpr std::size_t kMostBytes = 32U << 20;
constexpr std::size_t kLongestDictionary = 4096;
constexpr int kMostStreams = 100'000;  // a thousand scanned pages have some thousand

bool has(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

// From the object's beginning to the word "stream".
std::string_view dictionary_before(std::string_view bytes, std::size_t stream) {
  const std::size_t from = stream > kLongestDictionary ? stream - kLongestDictionary : 0;
  const std::string_view before = bytes.substr(from, stream - from);
  const std::size_t object = before.rfind("obj");
  return object == std::string_view::npos ? before : before.substr(object);
}

bool is_flate_or_nothing(std::string_view dictionary) {
  const std::size_t at = dictionary.find("/Filter");
  if (at == std::string_view::npos) return true;
  if (dictionary.find("/Filter", at + 1) != std::string_view::npos) return false;
  std::string_view rest = dictionary.substr(at + 7);
  const auto skip = [&rest](std::string_view characters) {
    const std::size_t first = rest.find_first_not_of(characters);
    rest.remove_prefix(std::min(first, rest.size()));
  };
  skip(" \r\n\t[");
  if (rest.substr(0, 12) != "/FlateDecode") return false;
  rest.remove_prefix(12);
  skip(" \r\n\t]");
  return rest.empty() || rest.front() == '/' || rest.front() == '>';
}

bool columns_are_few(std::string_view dictionary) {
  for (std::size_t at = dictionary.find("/Columns"); at != std::string_view::npos;
       at = dictionary.find("/Columns", at + 1)) {
    const std::string number(dictionary.substr(at + 8, 16));
    if (std::strtol(number.c_str(), nullptr, 10) > 65536) return false;
  }
  return true;
}

}  // namespace

bool structure_is_small(const std::string& bytes) {
  const std::string_view all = bytes;
  std::size_t total = 0;
  // Of the data; looked for once, or many streams without an end would each search the whole file.
  std::size_t end = 0;
  int streams = 0;
  for (std::size_t at = all.find("stream"); at != std::string_view::npos; at = all.find("stream", at + 6)) {
    if (at >= 3 && all.substr(at - 3, 3) == "end") continue;
    if (++streams > kMostStreams) return false;
    const std::string_view dictionary = dictionary_before(all, at);
    // A name may be written with "#" so that it does not look like itself.
    if (!has(dictionary, "/ObjStm") && !has(dictionary, "/XRef") && !has(dictionary, "#")) continue;
    if (!has(dictionary, "<<")) continue;  // the word within something else
    if (!is_flate_or_nothing(dictionary) || !columns_are_few(dictionary)) return false;
    if (!has(dictionary, "/Filter")) continue;
    std::size_t data = at + 6;
    if (data < all.size() && all[data] == '\r') ++data;
    if (data < all.size() && all[data] == '\n') ++data;
    if (end < data) end = std::min(all.find("endstream", data), all.size());
    const auto unpacked = inflate_at_most(all.substr(data, end - data), kMostBytes - total);
    if (!unpacked) return false;
    total += unpacked->size();
  }
  return true;
}

}  // namespace tapersight
