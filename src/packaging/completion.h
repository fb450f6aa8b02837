// What a shell offers when Tab is pressed: commands, options, the words that an option takes, files, folders.
#pragma once
#include <string>

#include "packaging/described.h"

namespace tapersight {

std::string bash_completion(const DescribedCommand& program);
std::string zsh_completion(const DescribedCommand& program);
std::string fish_completion(const DescribedCommand& program);

}  // namespace tapersight
