// Every item is worked on once and told of in order, whatever the threads do.
#include "batch/in_order.h"

#include <gtest/gtest.h>

#include <chrono>
#include <mutex>
#include <numeric>
#include <stdexcept>
#include <thread>
#include <vector>

namespace tapersight {
namespace {

TEST(RunInOrder, EachOnceInOrder) {
  for (const int jobs : {1, 2, 7}) {
    std::vector<std::atomic<int>> worked(60);
    std::vector<std::size_t> told;
    const std::atomic<bool> stop{false};
    run_in_order(
        60, jobs, stop,
        [&](std::size_t i) {
          if (i % 7 == 0) std::this_thread::sleep_for(std::chrono::milliseconds(3));
          ++worked[i];
        },
        [&](std::size_t i) {
          EXPECT_EQ(worked[i], 1);
          told.push_back(i);
        });
    std::vector<std::size_t> all(60);
    std::iota(all.begin(), all.end(), 0U);
    EXPECT_EQ(told, all) << jobs;
  }
}

TEST(RunInOrder, AtMostAsManyAtATimeAsThereAreJobs) {
  std::atomic<int> now{0};
  std::atomic<int> most{0};
  const std::atomic<bool> stop{false};
  run_in_order(
      40, 3, stop,
      [&](std::size_t) {
        const int n = ++now;
        for (int seen = most; n > seen && !most.compare_exchange_weak(seen, n);) {
        }
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
        --now;
      },
      [](std::size_t) {});
  EXPECT_LE(most, 3);
}

TEST(RunInOrder, StopsWhenAskedAndPassesExceptionsOn) {
  std::atomic<bool> stop{false};
  std::atomic<int> worked{0};
  run_in_order(
      1000, 2, stop,
      [&](std::size_t i) {
        ++worked;
        if (i == 10) stop = true;
      },
      [](std::size_t) {});
  EXPECT_GE(worked, 11);
  EXPECT_LT(worked, 1000);
  stop = false;
  EXPECT_THROW(run_in_order(
                   10, 2, stop,
                   [](std::size_t i) {
                     if (i == 4) throw std::runtime_error("x");
                   },
                   [](std::size_t) {}),
               std::runtime_error);
}

}  // namespace
}  // namespace tapersight
