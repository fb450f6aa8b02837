#include "cli/paper_option.h"

#include "base/text.h"

namespace tapersight {

Result<Paper> parse_paper(const std::string& text) {
  if (lower_case(text) == "a4") return Paper::kA4;
  if (lower_case(text) == "letter") return Paper::kLetter;
  return Failure{"bad-paper", "\"" + text + "\" is not a paper that the sheet is made for.",
                 "Write --paper a4 or --paper letter."};
}

}  // namespace tapersight
