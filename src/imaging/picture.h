// A picture as it came from the file.
//
// Pixel frame, everywhere in this program: (0, 0) is the centre of the top left pixel, u to the right, v
// down.
#pragma once
#include <array>
#include <memory>
#include <opencv2/core.hpp>
#include <optional>
#include <string>

#include "formats/format.h"

namespace tapersight {

struct Picture {
  std::string path;
  cv::Mat grey;                        // CV_8UC1, code values (not light), EXIF orientation applied
  std::optional<double> dpi_u, dpi_v;  // pixels per inch that the file states, along u and v
  bool by_camera = false;              // the file notes an exposure: no scan
  std::shared_ptr<const void> held;    // what the pixels lie in, where that is not `grey` itself
};

// What was read, under the name of its file.
Picture picture_of(FilePicture read, std::string path);

// Relative light of a code value 0..255 by the sRGB transfer function (IEC 61966-2-1), 0..1. Edges are fitted
// in light: in code values the middle of a blurred edge is displaced by up to half its blur.
const std::array<float, 256>& light_of_code();

}  // namespace tapersight
