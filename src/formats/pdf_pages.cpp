#include "formats/pdf_pages.h"

#include <cstddef>
#include <stdexcept>
#include <utility>

namespace tapersight {

std::vector<QPDFObjectHandle> pages_of(QPDF& pdf) {
  constexpr std::size_t kMostNodes = 100'000;
  constexpr int kMostLevels = 50;
  std::vector<QPDFObjectHandle> pages;
  std::vector<std::pair<QPDFObjectHandle, int>> next{{pdf.getRoot().getKey("/Pages"), 0}};
  for (std::size_t seen = 0; !next.empty(); ++seen) {
    const auto [node, level] = next.back();
    next.pop_back();
    QPDFObjectHandle dictionary = node;
    if (!dictionary.isDictionary()) continue;
    QPDFObjectHandle kids = dictionary.getKey("/Kids");
    if (!kids.isArray()) {
      pages.push_back(dictionary);
      continue;
    }
    const auto count = static_cast<std::size_t>(kids.getArrayNItems());
    if (level >= kMostLevels || seen + next.size() + count > kMostNodes)
      throw std::runtime_error("a page tree that no program writes");
    for (int i = static_cast<int>(count); i-- > 0;) next.emplace_back(kids.getArrayItem(i), level + 1);
  }
  return pages;
}

}  // namespace tapersight
