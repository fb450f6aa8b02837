#include "room/decoding_room.h"

#include <signal.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cmath>
#include <cstring>

#include "base/files.h"
#include "base/text.h"
#include "formats/checks.h"
#include "room/doorkeeper.h"
#include "room/message.h"

namespace tapersight {
namespace {

// A descriptor that is closed at the end of its scope.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() { close(); }
  int number() const { return number_; }
  void close() {
    if (number_ >= 0) ::close(number_);
    number_ = -1;
  }

 private:
  int number_;
};

// Memory that two processes see.
class SharedMemory {
 public:
  SharedMemory(int descriptor, std::size_t bytes)
      : bytes_(bytes),
        at_(::mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_POPULATE, descriptor, 0)) {}
  SharedMemory(const SharedMemory&) = delete;
  SharedMemory& operator=(const SharedMemory&) = delete;
  ~SharedMemory() {
    if (good()) ::munmap(at_, bytes_);
  }
  bool good() const { return at_ != MAP_FAILED; }
  char* at() const { return static_cast<char*>(at_); }

 private:
  std::size_t bytes_;
  void* at_;
};

Failure no_room() {
  return {"no-decoding-room",
          std::string("The process that reads pictures could not be started: ") + std::strerror(errno) + ".",
          "Close other programs, or raise the limits on this one's memory and processes."};
}

Failure room_is_gone() {
  return {"file-not-readable", "was not read: the process that reads pictures was ended from outside.",
          "Start the program again, with fewer other programs open."};
}

Failure crashed() {
  // Where somebody limits this program's memory, the end of that is as likely.
  struct rlimit limit {};
  if (::getrlimit(RLIMIT_AS, &limit) == 0 && limit.rlim_cur != RLIM_INFINITY)
    return {"file-not-readable", "was not read: reading it broke off, and this program's memory is limited.",
            "Give it more memory (ulimit -v), or save the picture again as a plain JPEG, PNG or TIFF."};
  return {"picture-damaged", "is damaged, or made to do harm: reading it broke off.",
          "Scan again, or save the picture again as a plain JPEG, PNG or TIFF."};
}

Failure too_slow(double seconds) {
  return {
      "picture-damaged",
      "is damaged, or made to do harm: reading it took longer than " +
          fixed(seconds, seconds < 10 && seconds != std::floor(seconds) ? 3 : 0) + " s.",
      "Scan again, or save the picture again as a plain JPEG, PNG or TIFF; --max-seconds gives it longer."};
}

template <std::size_t N>
std::string text_of(const std::array<char, N>& text) {
  return printable({text.data(), ::strnlen(text.data(), N)});
}

// Waits for the end of the decoding process; nothing when nobody will tell.
std::optional<Ending> ending_from(int way_back) {
  Ending ending;
  ssize_t got = 0;
  do got = ::read(way_back, &ending, sizeof ending);
  while (got < 0 && errno == EINTR);
  return got == static_cast<ssize_t>(sizeof ending) ? std::optional(ending) : std::nullopt;
}

// What stands in the memory was written by a process that may have been led astray: it is believed as far as
// it does no harm. That process is gone, so nothing in it changes any more.
Result<FilePicture> taken(int memory, const ReadLimits& limits) {
  Answer answer;
  if (::pread(memory, &answer, sizeof answer, 0) != static_cast<ssize_t>(sizeof answer)) return crashed();
  if (answer.state == Answer::kFailure)
    return Failure{text_of(answer.code), text_of(answer.text), text_of(answer.remedy)};
  const double pixels = double{1} * answer.rows * answer.columns;
  if (answer.state != Answer::kPicture || answer.rows < 1 || answer.columns < 1 ||
      pixels > limits.most_pixels)
    return crashed();
  const auto shared = std::make_shared<SharedMemory>(memory, kPixelsAt + static_cast<std::size_t>(pixels));
  if (!shared->good()) throw std::bad_alloc();
  FilePicture picture;
  picture.grey = cv::Mat(answer.rows, answer.columns, CV_8UC1, shared->at() + kPixelsAt);
  picture.held = shared;
  const auto possible = [](double dpi) { return dpi >= 1 && dpi <= 100e3; };
  if (answer.has_dpi && possible(answer.dpi_u) && possible(answer.dpi_v))
    picture.dpi = Dpi{answer.dpi_u, answer.dpi_v};
  picture.by_camera = answer.by_camera != 0;
  return picture;
}

}  // namespace

Result<std::unique_ptr<DecodingRoom>> DecodingRoom::open() {
  std::array<int, 2> ends{};
  if (::socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends.data()) != 0) return no_room();
  const pid_t process = ::fork();
  if (process == 0) {
    ::prctl(PR_SET_PDEATHSIG, SIGKILL);
    ::close(ends[0]);
    keep_door(ends[1]);
  }
  ::close(ends[1]);
  if (process > 0) return std::unique_ptr<DecodingRoom>(new DecodingRoom(ends[0], process));
  const Failure failure = no_room();
  ::close(ends[0]);
  return failure;
}

DecodingRoom::~DecodingRoom() {
  ::close(socket_);
  while (::waitpid(process_, nullptr, 0) < 0 && errno == EINTR) {
  }
}

Result<FilePicture> DecodingRoom::read(const std::string& path, const ReadOptions& options) {
  const auto file = InputFile::open(path, options.limits.most_file_bytes);
  if (!file) return file.failure();
  const Descriptor memory(::memfd_create("picture", MFD_CLOEXEC));
  // As large as any picture may be; what is not written to takes no memory.
  const auto most = static_cast<off_t>(kPixelsAt) + static_cast<off_t>(options.limits.most_pixels);
  std::array<int, 2> ends{-1, -1};
  if (memory.number() < 0 || ::ftruncate(memory.number(), most) != 0 ||
      ::socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends.data()) != 0)
    return no_room();
  const Descriptor way_back(ends[0]);
  Descriptor other_end(ends[1]);
  Request request;
  request.file_bytes = file->size();
  request.most_file_bytes = options.limits.most_file_bytes;
  request.most_memory_bytes = options.limits.most_memory_bytes;
  request.most_pixels = options.limits.most_pixels;
  request.most_seconds = options.limits.most_seconds;
  request.page = options.page.value_or(0);
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (!send_request(socket_, request, {file->descriptor(), memory.number(), other_end.number()}))
      return named(room_is_gone(), path);
  }
  other_end.close();
  const auto ending = ending_from(way_back.number());
  if (!ending) return named(room_is_gone(), path);
  const bool by_itself = WIFEXITED(ending->wait_status) && WEXITSTATUS(ending->wait_status) == 0;
  if (by_itself) {
    auto picture = taken(memory.number(), options.limits);
    return picture ? std::move(picture) : named(picture.failure(), path);
  }
  const bool late =
      ending->out_of_time || (WIFSIGNALED(ending->wait_status) && WTERMSIG(ending->wait_status) == SIGXCPU);
  return named(late ? too_slow(options.limits.most_seconds) : crashed(), path);
}

}  // namespace tapersight
