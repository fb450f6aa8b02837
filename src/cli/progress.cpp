#include "cli/progress.h"

#include <unistd.h>

#include <cmath>
#include <cstdio>

namespace tapersight {
namespace {

std::string time_text(double seconds) {
  const auto whole = static_cast<long>(std::ceil(seconds));
  if (whole < 60) return std::to_string(whole) + " s";
  if (whole < 3600) return std::to_string(whole / 60) + " min " + std::to_string(whole % 60) + " s";
  return std::to_string(whole / 3600) + " h " + std::to_string(whole % 3600 / 60) + " min";
}

}  // namespace

std::string progress_bar(std::size_t done, std::size_t all, double seconds_left) {
  constexpr std::size_t kWidth = 30;
  const std::size_t full = all > 0 ? kWidth * done / all : kWidth;
  std::string bar = "[" + std::string(full, '#') + std::string(kWidth - full, '.') + "] " +
                    std::to_string(done) + " of " + std::to_string(all);
  if (done < all && std::isfinite(seconds_left)) bar += ", " + time_text(seconds_left) + " left";
  return bar;
}

Progress::Progress(std::size_t all)
    : all_(all), terminal_(::isatty(STDERR_FILENO) == 1), start_(std::chrono::steady_clock::now()) {
  if (terminal_ && all_ > 0) draw();
}

Progress::~Progress() {
  if (!terminal_) return;
  std::fputs("\r\x1b[K", stderr);
  std::fflush(stderr);
}

void Progress::step(const std::string& line, bool at_once) {
  ++done_;
  timed_ += at_once ? 0 : 1;
  if (terminal_)
    draw();
  else
    std::fputs((std::to_string(done_) + " of " + std::to_string(all_) + ": " + line + "\n").c_str(), stderr);
}

void Progress::draw() {
  const double passed = std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
  const double each = timed_ > 0 ? passed / static_cast<double>(timed_) : double{NAN};
  std::fputs(("\r\x1b[K" + progress_bar(done_, all_, each * static_cast<double>(all_ - done_))).c_str(),
             stderr);
  std::fflush(stderr);
}

}  // namespace tapersight
