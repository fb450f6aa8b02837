// How pictures are read: which page, and up to what size.
#pragma once
#include <CLI/CLI.hpp>

#include "formats/format.h"

namespace tapersight {

// Adds --max-megapixels, --max-file-mb, --max-memory-mb and --max-seconds.
void add_limit_options(CLI::App& app, ReadLimits& limits);

// Adds --page.
void add_page_option(CLI::App& app, ReadOptions& reading);

}  // namespace tapersight
