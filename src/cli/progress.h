// How far a long run is: a bar with the time left on a terminal, plain lines elsewhere. On stderr.
#pragma once
#include <chrono>
#include <cstddef>
#include <string>

namespace tapersight {

class Progress {
 public:
  explicit Progress(std::size_t all);
  ~Progress();  // leaves the terminal's line clean
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  // One more is done. `line` says what came of it: a line of its own off a terminal. `at_once`: it took no
  // time that tells about the others.
  void step(const std::string& line, bool at_once);

 private:
  void draw();

  std::size_t all_, done_ = 0, timed_ = 0;
  bool terminal_;
  std::chrono::steady_clock::time_point start_;
};

// "[#####.....] 12 of 40, 1 min 20 s left": at most 79 columns.
std::string progress_bar(std::size_t done, std::size_t all, double seconds_left);

}  // namespace tapersight
