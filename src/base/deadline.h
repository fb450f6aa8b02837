// A time by which work has to be done. Whoever works long asks it in the outermost loop.
#pragma once
#include <chrono>

#include "base/result.h"

namespace tapersight {

class Deadline {
 public:
  static Deadline never() { return Deadline(Clock::time_point::max()); }
  static Deadline in(double seconds) {
    constexpr double kMost = 1e6;  // eleven days, far from where the clock's numbers end
    if (!(seconds < kMost)) return never();
    return Deadline(Clock::now() +
                    std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds)));
  }

  bool passed() const { return at_ != Clock::time_point::max() && Clock::now() >= at_; }

 private:
  using Clock = std::chrono::steady_clock;
  explicit Deadline(Clock::time_point at) : at_(at) {}
  Clock::time_point at_;
};

inline Failure took_too_long() {
  return {
      "took-too-long", "Measuring this picture took longer than is allowed.",
      "Leave only the sheet and the strip in the picture, scan at 300 or 600 dpi, or raise --max-seconds."};
}

}  // namespace tapersight
