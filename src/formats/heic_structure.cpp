#include "formats/heic_structure.h"

#include <algorithm>
#include <cstddef>
#include <map>
#include <set>
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

// Numbers of any width one after the other; zeros behind the end.
class Numbers {
 public:
  explicit Numbers(std::string_view bytes) : rest_(bytes) {}
  bool empty() const { return rest_.empty(); }
  std::size_t next(std::size_t wide) {
    std::size_t value = 0;
    for (std::size_t i = 0; i < wide; ++i)
      value = value << 8 | (i < rest_.size() ? static_cast<unsigned char>(rest_[i]) : 0U);
    rest_.remove_prefix(std::min(wide, rest_.size()));
    return value;
  }

 private:
  std::string_view rest_;
};

// The items of kind "hvc1" (8.11.6: entries of version 2 have item numbers of two bytes, of version 3 of
// four).
std::set<std::size_t> hevc_items(std::string_view body) {
  std::set<std::size_t> items;
  const std::size_t count_wide = body.empty() || body[0] == 0 ? 2 : 4;
  if (body.size() < 4 + count_wide) return items;
  each_box(body.substr(4 + count_wide), [&](std::string_view kind, std::string_view entry) {
    if (kind != "infe" || entry.size() < 4 || (entry[0] != 2 && entry[0] != 3)) return;
    const std::size_t wide = entry[0] == 2 ? 2 : 4;
    if (entry.size() >= 4 + wide + 2 + 4 && entry.substr(4 + wide + 2, 4) == "hvc1")
      items.insert(number(entry, 4, wide));
  });
  return items;
}

// Where items lie (8.11.3), of those that lie in the file.
void add_pieces(std::string_view body, std::string_view file, const std::set<std::size_t>& items,
                std::vector<std::string_view>& pieces) {
  if (body.size() < 8) return;
  const int version = body[0];
  Numbers in(body.substr(4));
  const std::size_t sizes = in.next(2);
  const std::size_t offset_wide = sizes >> 12, length_wide = sizes >> 8 & 15, base_wide = sizes >> 4 & 15;
  const std::size_t index_wide = version == 0 ? 0 : sizes & 15;
  for (std::size_t left = in.next(version < 2 ? 2 : 4); left > 0 && !in.empty(); --left) {
    const std::size_t item = in.next(version < 2 ? 2 : 4);
    const std::size_t method = version == 0 ? 0 : in.next(2) & 15;
    in.next(2);
    const std::size_t base = in.next(base_wide);
    for (std::size_t extents = in.next(2); extents > 0 && !in.empty(); --extents) {
      in.next(index_wide);
      const std::size_t from = base + in.next(offset_wide), length = in.next(length_wide);
      if (method == 0 && items.count(item) > 0 && from < file.size())
        pieces.push_back(file.substr(from, length));
    }
  }
}

}  // namespace

std::vector<std::string_view> coded_pictures(std::string_view file) {
  std::vector<std::string_view> pieces;
  each_box(file, [&](std::string_view kind, std::string_view body) {
    if (kind != "meta" || body.size() < 4) return;
    std::set<std::size_t> items;
    each_box(body.substr(4), [&](std::string_view inner, std::string_view entries) {
      if (inner == "iinf") items = hevc_items(entries);
    });
    each_box(body.substr(4), [&](std::string_view inner, std::string_view places) {
      if (inner == "iloc") add_pieces(places, file, items, pieces);
    });
  });
  return pieces;
}

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
