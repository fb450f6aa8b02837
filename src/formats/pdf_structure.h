// Guards the PDF library, which unpacks a file's own structure without a bound.
#pragma once
#include <string>

namespace tapersight {

// Whether everything in the file that the library unpacks by itself, object streams and cross-reference
// streams, is packed in the one usual way and comes to at most 32 MB together.
bool structure_is_small(const std::string& bytes);

}  // namespace tapersight
