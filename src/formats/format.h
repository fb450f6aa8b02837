// One picture out of the bytes of a file: what every format's reader takes and gives.
//
// Colour becomes grey by one rule for all formats, the one that is built into JPEG's own brightness channel:
// code values weighed by 0.299 red, 0.587 green, 0.114 blue (ITU-R BT.601). Profiles are not applied, what is
// transparent lies on white, 16 bits are rounded to 8.
//
// Failures of all readers; their text goes on from the file's name ("... is cut off or damaged."):
//   "picture-damaged"        cut off, half written or damaged; nothing is guessed for what is missing
//   "picture-too-large"      beyond a limit, by what the file's header says, before anything is decoded
//   "picture-not-supported"  a kind of that format that is not read
//   "several-pages", "no-such-page"
#pragma once
#include <cstddef>
#include <functional>
#include <memory>
#include <opencv2/core.hpp>
#include <optional>
#include <string>

#include "base/result.h"

namespace tapersight {

struct ReadLimits {
  double most_pixels = 250e6;                    // a sheet of A4 at 1200 dpi has 139 million
  std::size_t most_file_bytes = 512U << 20;      // of the file
  std::size_t most_memory_bytes = 1024UL << 20;  // of the file, the picture and what its decoder needs
  double most_seconds = 60;                      // for reading it, and for measuring it
};

struct ReadOptions {
  std::optional<int> page;  // from 1; unset: the only one
  ReadLimits limits;
  std::function<cv::Mat(int rows, int columns)> place;  // of the pixels; unset: memory of their own
};

struct Dpi {
  double u = 0, v = 0;  // pixels per inch along u and v
};

struct FilePicture {
  cv::Mat grey;                      // CV_8UC1, upright as the file says
  std::optional<Dpi> dpi;            // as the file states it, of the upright picture
  bool by_camera = false;            // the file notes an exposure
  std::shared_ptr<const void> held;  // what the pixels lie in, where that is not `grey` itself
};

using FormatReader = Result<FilePicture> (*)(const std::string& bytes, const ReadOptions& options);

}  // namespace tapersight
