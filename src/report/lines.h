// Sentences and tables on a terminal: ASCII, wrapped at its width.
#pragma once
#include <string>
#include <vector>

namespace tapersight {

// What the text is for. The default is a file or a pipe.
struct Terminal {
  int columns = 100;
  bool styled = false;  // bold and colour are understood; they never carry a meaning alone
};

enum class Style { kPlain, kBold, kGood, kOpen, kBad };  // the last three are bold and coloured
std::string styled(const std::string& words, Style style, const Terminal& terminal);

// Appends `sentence` wrapped, the first line after `first`, the others indented alike.
void put(std::string& out, const std::string& first, const std::string& sentence,
         const Terminal& terminal = {});

// Appends an empty line, `title`, and the sentences indented; nothing when there are none.
void put_all(std::string& out, const std::string& title, const std::vector<std::string>& sentences,
             const Terminal& terminal = {});

// Appends an empty line and the rows of a table, indented and not wrapped; nothing when there are none.
void put_table(std::string& out, const std::vector<std::string>& rows);

// As put_all, the sentences numbered from 1.
void put_numbered(std::string& out, const std::string& title, const std::vector<std::string>& sentences,
                  const Terminal& terminal = {});

}  // namespace tapersight
