// What the program and its decoding room say to each other. Only for this folder.
//
// One request a picture over a socket, with three descriptors: the open file, the memory that both share, and
// the way back, over which comes how the decoding process ended. What was found stands in the shared memory:
// an `Answer`, and at `kPixelsAt` the pixels.
#pragma once
#include <array>
#include <cstddef>
#include <cstdint>
#include <type_traits>

#include "formats/format.h"

namespace tapersight {

struct Request {
  std::uint64_t file_bytes = 0;
  std::uint64_t most_file_bytes = 0, most_memory_bytes = 0;
  double most_pixels = 0, most_seconds = 0;
  std::int32_t page = 0;  // 0: none named
};

constexpr std::size_t kPixelsAt = 4096;

struct Answer {
  enum State : std::uint32_t { kNothing, kPicture, kFailure };
  State state = kNothing;
  std::int32_t rows = 0, columns = 0;
  std::uint32_t has_dpi = 0, by_camera = 0;
  double dpi_u = 0, dpi_v = 0;
  std::array<char, 64> code;
  std::array<char, 1024> text, remedy;
};
static_assert(std::is_trivially_copyable_v<Request> && std::is_trivially_copyable_v<Answer>);
static_assert(sizeof(Answer) <= kPixelsAt);

// How the decoding process ended.
struct Ending {
  std::int32_t wait_status = 0;  // as waitpid() gives it
  std::uint32_t out_of_time = 0;
};

struct Handed {
  Request request;
  std::array<int, 3> descriptors{-1, -1, -1};  // file, shared memory, way back
};

// False when nobody is there any more.
bool send_request(int socket, const Request& request, const std::array<int, 3>& descriptors);
bool receive_request(int socket, Handed& handed);

}  // namespace tapersight
