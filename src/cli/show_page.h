// A page kept where a person's programs keep what can be made again, and shown in the browser.
#pragma once
#include <optional>
#include <string>

#include "base/result.h"

namespace tapersight {

// The file for the page about `picture`: in $XDG_CACHE_HOME/tapersight, else ~/.cache/tapersight (XDG Base
// Directory Specification 0.8), which is made when it is not there. The same picture has the same file.
// Failure "no-cache-folder".
Result<std::string> cached_page(const std::string& picture);

// $XDG_CONFIG_HOME/tapersight/sled.toml, else ~/.config/tapersight/sled.toml, when there is one; else empty.
std::string usual_sled_file();

// By xdg-open. Failure "page-not-shown".
std::optional<Failure> show_page(const std::string& path);

}  // namespace tapersight
