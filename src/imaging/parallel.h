// Independent pieces of work on the machine's cores.
#pragma once
#include <opencv2/core/utility.hpp>

namespace tapersight {

// Calls work(0) .. work(count - 1), each once, in any order and perhaps at the same time: each writes only
// what is its own, so that the result does not depend on the number of threads.
template <typename Work>
void in_parallel(int count, Work&& work) {
  cv::parallel_for_(
      cv::Range(0, count),
      [&](const cv::Range& range) {
        for (int i = range.start; i < range.end; ++i) work(i);
      },
      count);
}

}  // namespace tapersight
