#include "formats/heic_structure.h"

#include <cstddef>
#include <map>
#include <string_view>
#include <vector>

namespace tapersight {
namespace {

constexpr int kMostSteps = 6;     // a phone's grid turned and cropped has three
constexpr int kMostParts = 5000;  // a grid of 65535 x 65535 pixels in the usual tiles of 512 has 16 384; 48
                                  // megapixels have 192

using MadeOf = std::map<unsigned, std::vector<unsigned>>;  // item -> items

unsigned number(std::string_view bytes, std::size_t at, std::size_t length) {
  unsigned value = 0;
  for (std::size_t i = at; i < at + length; ++i)
    value = value << 8 | (i < bytes.size() ? static_cast<unsigned char>(bytes[i]) : 0U);
  return value;
}

// Calls use(kind, body) for each box (ISO/IEC 14496-12, 4.2).
template <typename Use>
void each_box(std::string_view bytes, Use&& use) {
  while (bytes.size() >= 8) {
    std::size_t size = number(bytes, 0, 4);
    std::size_t head = 8;
    if (size == 1) {
      size = number(bytes, 8, 4) != 0 ? bytes.size() : number(bytes, 12, 4);
      head = 16;
    }
    if (size == 0 || size > bytes.size()) size = bytes.size();  // to the end
    if (size < head) return;
    use(bytes.substr(4, 4), bytes.substr(head, size - head));
    bytes.remove_prefix(size);
  }
}

// The references of kind "dimg" (8.11.12): item numbers of two bytes, or of four in version 1.
void read_references(std::string_view body, MadeOf& made_of) {
  if (body.size() < 4) return;
  const std::size_t wide = body[0] == 0 ? 2 : 4;
  each_box(body.substr(4), [&](std::string_view kind, std::string_view reference) {
    if (kind != "dimg" || reference.size() < wide + 2) return;
    std::vector<unsigned>& parts = made_of[number(reference, 0, wide)];
    const std::size_t count = number(reference, wide, 2);
    for (std::size_t i = 0; i < count && wide + 2 + (i + 1) * wide <= reference.size(); ++i)
      parts.push_back(number(reference, wide + 2 + i * wide, wide));
  });
}

// Adds an item and all that it is made of to `parts`; false beyond the bounds, where rings end as well.
bool count(const MadeOf& made_of, unsigned item, int steps, int& parts) {
  if (++parts > kMostParts || steps > kMostSteps) return false;
  const auto found = made_of.find(item);
  if (found == made_of.end()) return true;
  for (const unsigned part : found->second)
    if (!count(made_of, part, steps + 1, parts)) return false;
  return true;
}

}  // namespace

bool heic_structure_is_sound(const std::string& bytes) {
  MadeOf made_of;
  each_box(bytes, [&](std::string_view kind, std::string_view body) {
    if (kind != "meta" || body.size() < 4) return;
    each_box(body.substr(4), [&](std::string_view inner, std::string_view references) {
      if (inner == "iref") read_references(references, made_of);
    });
  });
  int parts = 0;
  for (const auto& [item, unused] : made_of)
    if (!count(made_of, item, 0, parts)) return false;
  return true;
}

}  // namespace tapersight
