#include "report/lines.h"

#include <algorithm>

#include "base/text.h"

namespace tapersight {
std::string styled(const std::string& words, Style style, const Terminal& terminal) {
  if (!terminal.styled || style == Style::kPlain) return words;
  // ECMA-48, 8.3.117 (SGR): 1 bold, 31 red, 32 green, 33 yellow, 0 as before.
  constexpr const char* kCodes[] = {"", "1", "1;32", "1;33", "1;31"};
  return "\033[" + std::string(kCodes[static_cast<int>(style)]) + "m" + words + "\033[0m";
}

void put(std::string& out, const std::string& first, const std::string& unchecked, const Terminal& terminal) {
  const std::string sentence = printable(unchecked);
  std::string line = first;
  const std::string indent(first.size(), ' ');
  bool empty = true;
  for (std::size_t at = 0; at < sentence.size();) {
    std::size_t end = std::min(sentence.find(' ', at), sentence.size());
    // "95 %" stays together, and so does "k = 2".
    const auto space_after = [&] { return std::min(sentence.find(' ', end + 1), sentence.size()); };
    while (sentence.compare(end, 2, " %") == 0 || sentence.compare(end, 2, " =") == 0 ||
           (end > 0 && sentence[end - 1] == '=' && end < sentence.size()))
      end = space_after();
    const std::string word = sentence.substr(at, end - at);
    if (!empty && line.size() + 1 + word.size() > static_cast<std::size_t>(terminal.columns)) {
      out += line + "\n";
      line = indent;
      empty = true;
    }
    line += (empty ? "" : " ") + word;
    empty = false;
    at = end + 1;
  }
  out += line + "\n";
}

void put_all(std::string& out, const std::string& title, const std::vector<std::string>& sentences,
             const Terminal& terminal) {
  if (sentences.empty()) return;
  out += "\n" + title + "\n";
  for (const std::string& sentence : sentences) put(out, "  ", sentence, terminal);
}

void put_numbered(std::string& out, const std::string& title, const std::vector<std::string>& sentences,
                  const Terminal& terminal) {
  if (sentences.empty()) return;
  out += "\n" + title + "\n";
  for (std::size_t i = 0; i < sentences.size(); ++i)
    put(out, "  " + std::to_string(i + 1) + ". ", sentences[i], terminal);
}

void put_table(std::string& out, const std::vector<std::string>& rows) {
  if (rows.empty()) return;
  out += "\n";
  for (const std::string& row : rows) out += (row.empty() ? row : "  " + printable(row)) + "\n";
}

}  // namespace tapersight
