// The process that makes a decoding process for every picture. Only for this folder.
#pragma once

namespace tapersight {

// Serves the requests that come over `socket` until it is closed; then ends the process. Each picture gets a
// process of its own, forked from this one, which never sees a byte of a file and so is as good for the
// thousandth picture as for the first.
[[noreturn]] void keep_door(int socket);

}  // namespace tapersight
