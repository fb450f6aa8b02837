#include "page/budget_words.h"

#include <utility>

namespace tapersight {

std::string what_would_shrink(std::string_view source) {
  using Row = std::pair<std::string_view, const char*>;
  constexpr Row kRows[] = {
      {"edges", "a longer strip; a cleaner cut; the mean of several strips, each cut anew"},
      {"calibration", "the sheet pressed flat; a finer scan; the sheet printed sharply"},
      {"sheet", "the sheet taped flat; a photo from straight above; the sheet printed anew"},
      {"scanner", "a scan with the printed sheet"},
      {"scale-gradient", "a second scan with the strip turned end for end (--reversed); a narrower strip"},
      {"lift", "the strip pressed flat on clean glass, its lower face free of splinters; a longer strip"},
      {"phase", "the strip laid a degree or two aslant on the glass; a finer scan"},
      {"carriage", "the strip laid along the carriage's travel"},
      {"line-beside", "the strip pressed flat on the middle of the glass; no shadow along its edges"},
      {"bow", "the strip pressed flat on the middle of the glass; a straight cut, the board held still"},
      {"rival", "chalk, dust and tape brushed off the edges; the strip laid straight; another ground"},
      {"edge-doubled", "the strip laid on the middle of the glass; no shadow along its edges"},
      {"figure", "a finer scan (600 dpi); a longer strip; wood with a plainer figure"},
      {"pictures", "more pictures; sharper ones"},
      {"strip", "a longer strip; a cleaner cut; the mean of several strips, each cut anew"},
      {"reversal", "the strip really turned end for end on the same place of the glass, and scanned again"},
      {"scale",
       "both check bars measured with a rule (--bar-x, --bar-y); next to nothing once the fence is nearly "
       "square"},
  };
  for (const auto& [name, words] : kRows)
    if (name == source) return words;
  return "a longer strip; a finer scan";
}

}  // namespace tapersight
