#include "batch/in_order.h"

#include <algorithm>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace tapersight {

void run_in_order(std::size_t count, int jobs, const std::atomic<bool>& stop,
                  const std::function<void(std::size_t)>& work,
                  const std::function<void(std::size_t)>& done) {
  std::atomic<std::size_t> next{0};
  std::atomic<bool> failed{false};
  std::mutex mutex;
  std::vector<bool> finished(count, false);
  std::size_t told = 0;
  std::exception_ptr error;
  const auto worker = [&] {
    while (!stop && !failed) {
      const std::size_t i = next++;
      if (i >= count) return;
      try {
        work(i);
        const std::lock_guard<std::mutex> lock(mutex);
        finished[i] = true;
        for (; told < count && finished[told]; ++told) done(told);
      } catch (...) {
        const std::lock_guard<std::mutex> lock(mutex);
        if (!error) error = std::current_exception();
        failed = true;
      }
    }
  };
  std::vector<std::thread> threads;
  const std::size_t wanted = std::min(count, static_cast<std::size_t>(std::max(jobs, 1)));
  for (std::size_t t = 1; t < wanted; ++t) threads.emplace_back(worker);
  worker();
  for (std::thread& thread : threads) thread.join();
  if (error) std::rethrow_exception(error);
}

}  // namespace tapersight
