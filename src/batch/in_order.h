// Work on several threads, told of in order.
#pragma once
#include <atomic>
#include <cstddef>
#include <functional>

namespace tapersight {

// Calls work(i) for i = 0 .. count - 1 on `jobs` threads, and done(i) in the order of i, one at a time, on
// whichever thread comes to it. Ends early when `stop` becomes true: what was begun is ended. An exception of
// work() is thrown on when all threads have ended.
void run_in_order(std::size_t count, int jobs, const std::atomic<bool>& stop,
                  const std::function<void(std::size_t)>& work, const std::function<void(std::size_t)>& done);

}  // namespace tapersight
