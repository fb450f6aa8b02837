// Sentences as terminal lines; only for the text writers of this folder.
#pragma once
#include <string>
#include <vector>

namespace tapersight {

// Appends `sentence` wrapped to the terminal's width, the first line after `first`, the others indented
// alike.
void put(std::string& out, const std::string& first, const std::string& sentence);

// A titled section, one sentence a paragraph; nothing when there is no sentence.
void put_all(std::string& out, const std::string& title, const std::vector<std::string>& sentences);

// A titled section, its paragraphs numbered from 1.
void put_numbered(std::string& out, const std::string& title, const std::vector<std::string>& sentences);

}  // namespace tapersight
