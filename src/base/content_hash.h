// Is it the same as before? XXH3, 128 bits, as hexadecimal digits: against accidents, not against intent.
#pragma once
#include <cstddef>
#include <string>
#include <string_view>

#include "base/result.h"

namespace tapersight {

std::string content_hash(std::string_view bytes);
// Of a file's bytes, which are never in memory together. Failures: those of InputFile::open.
Result<std::string> content_hash_of_file(const std::string& path, std::size_t most_bytes);

}  // namespace tapersight
