// One picture of a class: the lines that its strips make in the results.
#pragma once
#include <functional>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "classroom/class_setup.h"
#include "imaging/picture.h"

namespace tapersight {

struct PictureOutcome {
  std::vector<std::string> lines;  // result_json
  std::vector<int> benches;        // whose set-up the lines depend on, in the roster or not
};

// Keeps what is drawn of a picture, and returns the name under which the results know it.
struct PictureKeeper {
  // Of a measured strip; unset: no overlays are drawn.
  std::function<Result<std::string>(const cv::Mat& grey, const MeasurementReport& report, int bench,
                                    const std::string& picture)>
      overlay;
  // Of a picture in which something was refused.
  std::function<Result<std::string>(const cv::Mat& grey, const std::string& picture)> thumbnail;
};

// Measures every strip of a picture that is called `name`, or says why it could not be read. What is wrong
// with the picture stands in its lines. Failures: those of the keeper.
Result<PictureOutcome> lines_of_picture(const Result<Picture>& picture, const std::string& name,
                                        const ClassSetup& setup, const PictureKeeper& keeper);

}  // namespace tapersight
