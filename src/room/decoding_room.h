// A room of its own for what reads pictures. The libraries that decode are large, and a file that was damaged
// or made to do harm may lead them anywhere: there they find no file, no program, no memory beyond the limit.
#pragma once
#include <memory>
#include <mutex>
#include <string>

#include "formats/format.h"

namespace tapersight {

class DecodingRoom {
 public:
  // To be called before the program has started any thread. Failure "no-decoding-room".
  static Result<std::unique_ptr<DecodingRoom>> open();
  ~DecodingRoom();
  DecodingRoom(const DecodingRoom&) = delete;
  DecodingRoom& operator=(const DecodingRoom&) = delete;

  // Reads the picture in a process of its own, within the limits. Safe to be called by several threads; each
  // of their pictures has its process. Failures: those of read_file and read_picture (formats/); where the
  // reader crashed, or did not come to an end, "picture-damaged". All of them name the file.
  Result<FilePicture> read(const std::string& path, const ReadOptions& options);

 private:
  DecodingRoom(int socket, int process) : socket_(socket), process_(process) {}
  int socket_;
  int process_;
  std::mutex mutex_;  // one request at a time over the socket
};

}  // namespace tapersight
