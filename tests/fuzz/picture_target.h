// What targets that read a picture's file share.
#pragma once
#include <opencv2/core.hpp>

#include "formats/read_picture.h"
#include "fuzz/fuzz_target.h"

namespace tapersight::testing {

// Small ones, so that what a limit refuses is met often and costs little.
inline ReadOptions small_read_options() {
  ReadOptions options;
  options.limits.most_pixels = 1 << 16;
  options.limits.most_memory_bytes = 16U << 20;
  return options;
}

// Whether it was read; if so it is a grey picture within the limit.
inline bool read_soundly(const Result<FilePicture>& picture, const ReadOptions& options) {
  if (!accepted(picture)) return false;
  require(!picture->grey.empty() && picture->grey.type() == CV_8UC1, "a picture of nothing");
  require(static_cast<double>(picture->grey.total()) <= options.limits.most_pixels,
          "a picture beyond the limit");
  return true;
}

}  // namespace tapersight::testing
