#include "imaging/trouble.h"

#include <new>
#include <opencv2/core.hpp>
#include <string>
#include <system_error>

namespace tapersight {
namespace {

// A thread needs memory for its stack. The library behind cv::parallel_for_ says in no other way that there
// was none: a std::runtime_error with this in front.
bool no_thread_could_be_started(const std::exception& error) {
  return std::string(error.what()).rfind("pthread_create has failed", 0) == 0;
}

bool out_of_memory(const std::exception& error) {
  const auto* const of_opencv = dynamic_cast<const cv::Exception*>(&error);
  const auto* const of_system = dynamic_cast<const std::system_error*>(&error);
  return dynamic_cast<const std::bad_alloc*>(&error) ||
         (of_opencv && of_opencv->code == cv::Error::StsNoMem) ||
         (of_system && (of_system->code() == std::errc::resource_unavailable_try_again ||
                        of_system->code() == std::errc::not_enough_memory)) ||
         no_thread_could_be_started(error);
}

}  // namespace

Failure failure_of_exception(const std::exception& error) {
  if (out_of_memory(error))
    return {"out-of-memory", "There is not enough memory to measure this picture.",
            "Close other programs, scan at 600 dpi or less, or measure fewer pictures at a time (--jobs 1)."};
  return {"internal-error", std::string("Something went wrong inside: ") + error.what() + ".",
          "Try a smaller picture; if it happens again, report it with the picture."};
}

}  // namespace tapersight
