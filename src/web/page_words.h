// Some sentences name what one types on a command line. The page has fields instead.
#pragma once
#include <string>
#include <utility>
#include <vector>

namespace tapersight {

// What stands in the program's sentences, and what stands there in the page.
const std::vector<std::pair<std::string, std::string>>& page_words();

std::string for_the_page(std::string text);
std::string for_the_page_in_markup(std::string html);  // the same where text stands escaped

}  // namespace tapersight
