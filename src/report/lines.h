// Sentences and tables on a terminal: ASCII, wrapped at 100 columns.
#pragma once
#include <string>
#include <vector>

namespace tapersight {

// Appends `sentence` wrapped, the first line after `first`, the others indented alike.
void put(std::string& out, const std::string& first, const std::string& sentence);

// Appends an empty line, `title`, and the sentences indented; nothing when there are none.
void put_all(std::string& out, const std::string& title, const std::vector<std::string>& sentences);

// Appends an empty line and the rows of a table, indented and not wrapped; nothing when there are none.
void put_table(std::string& out, const std::vector<std::string>& rows);

// As put_all, the sentences numbered from 1.
void put_numbered(std::string& out, const std::string& title, const std::vector<std::string>& sentences);

}  // namespace tapersight
