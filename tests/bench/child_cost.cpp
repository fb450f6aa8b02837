#include "bench/child_cost.h"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>

namespace tapersight::testing {

Cost in_child(const std::function<double()>& work) {
  int ends[2];
  if (pipe(ends) != 0) std::abort();
  std::fflush(stdout);
  const pid_t child = fork();
  if (child == 0) {
    const auto start = std::chrono::steady_clock::now();
    double answer[2] = {work(), 0};
    answer[1] = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    _exit(write(ends[1], answer, sizeof answer) == sizeof answer ? 0 : 1);
  }
  close(ends[1]);
  double answer[2] = {NAN, NAN};
  if (read(ends[0], answer, sizeof answer) != sizeof answer) std::printf("    a child failed\n");
  close(ends[0]);
  rusage usage{};
  int status = 0;
  wait4(child, &status, 0, &usage);
  return {answer[1], static_cast<double>(usage.ru_maxrss) / 1024, answer[0]};
}

Cost best_of(int runs, const std::function<double()>& work) {
  Cost best = in_child(work);
  for (int i = 1; i < runs; ++i) {
    const Cost next = in_child(work);
    if (next.seconds < best.seconds) best = next;
  }
  return best;
}

}  // namespace tapersight::testing
