// What an exception means to a person.
#pragma once
#include <exception>

#include "base/result.h"

namespace tapersight {

// "out-of-memory", also where OpenCV says it in its own way; else "internal-error", a defect of the program.
Failure failure_of_exception(const std::exception& error);

}  // namespace tapersight
