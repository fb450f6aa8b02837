// Every sentence that the program can say, read out of its source, so that all can be read in a row.
#pragma once
#include <string>

namespace tapersight::testing {

// For each file of `source`/src: the messages with their codes ("code: what is the matter | what to do"),
// then the other sentences; what stands in for a number or a name is written <>. Sorted by file, in the order
// of the source.
std::string list_messages(const std::string& source);

}  // namespace tapersight::testing
