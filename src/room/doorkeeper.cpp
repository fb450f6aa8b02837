#include "room/doorkeeper.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <list>
#include <string>

#include "base/files.h"
#include "formats/read_picture.h"
#include "room/confine.h"
#include "room/message.h"

namespace tapersight {
namespace {

using Clock = std::chrono::steady_clock;

struct Decoding {
  pid_t process;
  int way_back;
  Clock::time_point end_at;
  bool out_of_time = false;
};

template <std::size_t N>
void put_text(std::array<char, N>& out, const std::string& text) {
  const std::size_t n = std::min(text.size(), N - 1);
  std::memcpy(out.data(), text.data(), n);
  out[n] = '\0';
}

// The shared memory, mapped here piece by piece: only what is used counts against the limit.
class Shared {
 public:
  explicit Shared(int descriptor) : descriptor_(descriptor) {
    void* const at = ::mmap(nullptr, kPixelsAt, PROT_READ | PROT_WRITE, MAP_SHARED, descriptor, 0);
    answer_ = at == MAP_FAILED ? nullptr : static_cast<Answer*>(at);
  }
  Answer* answer() const { return answer_; }

  cv::Mat pixels(int rows, int columns) {
    if (!grey_.empty()) return {rows, columns, CV_8UC1};  // a reader that thought better of it
    const std::size_t bytes = static_cast<std::size_t>(rows) * static_cast<std::size_t>(columns);
    void* const at = ::mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_SHARED, descriptor_, kPixelsAt);
    if (at == MAP_FAILED) throw std::bad_alloc();
    ::madvise(at, bytes, MADV_POPULATE_WRITE);  // at one go, not a page at a time; where the kernel can
    grey_ = cv::Mat(rows, columns, CV_8UC1, at);
    return grey_;
  }

  // A picture that was turned by a quarter lies elsewhere.
  void put(const FilePicture& picture) {
    if (picture.grey.data == grey_.data) return;
    cv::Mat there = grey_.total() >= picture.grey.total()
                        ? cv::Mat(picture.grey.rows, picture.grey.cols, CV_8UC1, grey_.data)
                        : pixels(picture.grey.rows, picture.grey.cols);
    picture.grey.copyTo(there);
  }

 private:
  int descriptor_;
  Answer* answer_ = nullptr;
  cv::Mat grey_;
};

void tell(const Result<FilePicture>& read, Shared& shared) {
  Answer& answer = *shared.answer();
  if (!read) {
    put_text(answer.code, read.failure().code);
    put_text(answer.text, read.failure().text);
    put_text(answer.remedy, read.failure().remedy);
    answer.state = Answer::kFailure;
    return;
  }
  shared.put(*read);
  answer.rows = read->grey.rows;
  answer.columns = read->grey.cols;
  answer.has_dpi = read->dpi ? 1 : 0;
  if (read->dpi) answer.dpi_u = read->dpi->u, answer.dpi_v = read->dpi->v;
  answer.by_camera = read->by_camera ? 1 : 0;
  answer.state = Answer::kPicture;
}

ReadOptions options_of(const Request& request) {
  ReadOptions options;
  if (request.page > 0) options.page = request.page;
  options.limits = {request.most_pixels, request.most_file_bytes, request.most_memory_bytes,
                    request.most_seconds};
  return options;
}

// In the decoding process. Returns its exit status, 0 when the answer is there.
int decode(const Handed& handed, const CallFilter& filter) {
  Shared shared(handed.descriptors[1]);
  if (!shared.answer()) return 1;
  take_limits(handed.request.most_memory_bytes, handed.request.most_seconds);
  filter.put_on();
  std::string bytes;
  if (!read_whole(handed.descriptors[0], handed.request.file_bytes, bytes)) {
    tell(Failure{"file-not-readable", "ended early.", "Check that nothing else is writing it."}, shared);
    return 0;
  }
  ReadOptions options = options_of(handed.request);
  options.place = [&shared](int rows, int columns) { return shared.pixels(rows, columns); };
  tell(read_picture(bytes, options), shared);
  return 0;
}

void begin(const Handed& handed, int socket, const CallFilter& filter, std::list<Decoding>& all) {
  const auto& [file, memory, way_back] = handed.descriptors;
  const pid_t process = ::fork();
  if (process == 0) {
    ::close(socket);
    ::close(way_back);
    ::prctl(PR_SET_PDEATHSIG, SIGKILL);
    int status = 1;
    try {
      status = decode(handed, filter);
    } catch (...) {  // out of memory while it was telling
    }
    ::_exit(status);
  }
  ::close(file);
  ::close(memory);
  if (process < 0) {
    ::close(way_back);  // the program sees the end without a word
    return;
  }
  const double seconds = std::min(handed.request.most_seconds, 1e6);
  all.push_back(
      {process, way_back,
       Clock::now() + std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds))});
}

void gather(std::list<Decoding>& all) {
  for (;;) {
    int status = 0;
    const pid_t ended = ::waitpid(-1, &status, WNOHANG);
    if (ended <= 0) return;
    const auto at =
        std::find_if(all.begin(), all.end(), [&](const Decoding& d) { return d.process == ended; });
    if (at == all.end()) continue;
    const Ending ending{status, at->out_of_time ? 1U : 0U};
    [[maybe_unused]] const ssize_t told = ::write(at->way_back, &ending, sizeof ending);
    ::close(at->way_back);
    all.erase(at);
  }
}

void end_what_is_late(std::list<Decoding>& all) {
  for (Decoding& d : all)
    if (!d.out_of_time && Clock::now() >= d.end_at) {
      d.out_of_time = true;
      ::kill(d.process, SIGKILL);
    }
}

// Until the next is late, or nothing.
timespec time_left(const std::list<Decoding>& all) {
  auto next = Clock::now() + std::chrono::hours(1);
  for (const Decoding& d : all)
    if (!d.out_of_time) next = std::min(next, d.end_at);
  const auto left = std::max(next - Clock::now(), Clock::duration::zero());
  const auto ns = std::chrono::duration_cast<std::chrono::nanoseconds>(left).count();
  return {ns / 1'000'000'000, ns % 1'000'000'000};
}

extern "C" void wake(int /*signal*/) {}

// Its ways out are closed: what a library prints goes nowhere. Ctrl-C is the program's affair.
int keep_only(int socket) {
  for (const int signal : {SIGINT, SIGTERM, SIGHUP, SIGPIPE, SIGQUIT}) ::signal(signal, SIG_IGN);
  const int nowhere = ::open("/dev/null", O_RDWR);
  constexpr int kKept = 3;
  const int other = ::fcntl(socket, F_DUPFD, kKept + 1);
  for (const int standard : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) ::dup2(nowhere, standard);
  ::dup2(other, kKept);
  ::close_range(kKept + 1, ~0U, 0);
  return kKept;
}

}  // namespace

void keep_door(int socket_to_keep) {
  const int socket = keep_only(socket_to_keep);
  const CallFilter filter;
  std::list<Decoding> all;
  // A child's end is only heard of while waiting.
  sigset_t children;
  sigset_t before;
  ::sigemptyset(&children);
  ::sigaddset(&children, SIGCHLD);
  ::sigprocmask(SIG_BLOCK, &children, &before);
  struct sigaction action {};
  action.sa_handler = wake;
  ::sigaction(SIGCHLD, &action, nullptr);
  for (bool open = true; open;) {
    gather(all);
    end_what_is_late(all);
    pollfd door{socket, POLLIN, 0};
    const timespec left = time_left(all);
    if (::ppoll(&door, 1, &left, &before) <= 0) continue;
    Handed handed;
    open = receive_request(socket, handed);
    if (open) begin(handed, socket, filter, all);
  }
  for (const Decoding& d : all) ::kill(d.process, SIGKILL);
  while (::waitpid(-1, nullptr, 0) > 0 || errno == EINTR) {
  }
  ::_exit(0);
}

}  // namespace tapersight
