// What a decoding process cannot do once it is confined, and what it still can.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <functional>
#include <thread>

#include "room/confine.h"

namespace tapersight {
namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool kConfined = false;  // a sanitizer's build is not: see confine.cpp
#else
constexpr bool kConfined = true;
#endif

// Whether `work` is true in a confined process; false too when that crashes.
bool holds_inside(const std::function<bool()>& work, double seconds = 60) {
  const CallFilter filter;
  const pid_t process = ::fork();
  if (process == 0) {
    take_limits(64U << 20, seconds);
    filter.put_on();
    ::_exit(work() ? 0 : 1);
  }
  int status = 0;
  ::waitpid(process, &status, 0);
  return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

TEST(Confined, NoFileNoSocketNoProcessNoProgram) {
  EXPECT_NE(holds_inside([] { return ::open("/dev/null", O_RDONLY) >= 0; }), kConfined);
  EXPECT_NE(holds_inside([] { return ::socket(AF_UNIX, SOCK_STREAM, 0) >= 0; }), kConfined);
  EXPECT_NE(holds_inside([] { return ::fork() >= 0; }), kConfined);
  EXPECT_NE(holds_inside([] { return ::kill(::getppid(), 0) == 0; }), kConfined);
  EXPECT_NE(holds_inside([] { return ::write(STDERR_FILENO, "", 0) == 0; }), kConfined);
  EXPECT_NE(holds_inside([] { return ::access("/", F_OK) == 0; }), kConfined);
  EXPECT_NE(holds_inside([] {
              return ::mmap(nullptr, 4096, PROT_READ | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) !=
                     MAP_FAILED;
            }),
            kConfined);
}

TEST(Confined, MemoryUpToTheLimitAndNoFurther) {
  const auto can_take = [](std::size_t bytes) {
    return holds_inside([bytes] {
      void* const memory = std::malloc(bytes);
      const bool got = memory != nullptr;
      std::free(memory);
      return got;
    });
  };
  EXPECT_TRUE(can_take(60U << 20));
  EXPECT_NE(can_take(128U << 20), kConfined);
}

TEST(Confined, ThreadsStillRun) {
  EXPECT_TRUE(holds_inside([] {
    bool ran = false;
    std::thread([&ran] { ran = true; }).join();
    return ran;
  }));
}

TEST(Confined, ProcessorTimeEnds) {
  EXPECT_FALSE(holds_inside(
      [] {
        for (volatile unsigned i = 0;; i = i + 1) {
        }
        return true;
      },
      0.01));
}

}  // namespace
}  // namespace tapersight
