#include "imaging/trouble.h"

#include <new>
#include <opencv2/core.hpp>
#include <string>

namespace tapersight {

Failure failure_of_exception(const std::exception& error) {
  const auto* const of_opencv = dynamic_cast<const cv::Exception*>(&error);
  if (dynamic_cast<const std::bad_alloc*>(&error) || (of_opencv && of_opencv->code == cv::Error::StsNoMem))
    return {"out-of-memory", "There is not enough memory to measure this picture.",
            "Close other programs, scan at 600 dpi or less, or measure fewer pictures at a time (--jobs 1)."};
  return {"internal-error", std::string("Something went wrong inside: ") + error.what() + ".",
          "Try a smaller picture; if it happens again, report it with the picture."};
}

}  // namespace tapersight
