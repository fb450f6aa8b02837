// Small copies of the pictures that were refused, for the class sheet.
#pragma once
#include <map>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/result.h"
#include "classroom/class_result.h"
#include "page/pictures.h"

namespace tapersight {

// Writes the picture made small into `out_folder`/overlays; its name from `out_folder`. Failures:
// "page-not-drawn", "file-not-writable".
Result<std::string> write_thumbnail(const cv::Mat& grey, const std::string& picture_name,
                                    const std::string& out_folder);

// Those that the results name, by name. A result may come from anywhere: what is missing, large or no JPEG is
// left out.
std::map<std::string, Jpeg> read_thumbnails(const std::string& folder,
                                            const std::vector<ClassResult>& results);

}  // namespace tapersight
