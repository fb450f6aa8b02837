// Writes scans as a scanner's software does: with the resolution in the file.
#pragma once
#include <cstddef>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/result.h"

namespace tapersight {

// The file's bytes. `kind` ".jpg" or ".png"; the density stands in the JFIF header (dots per inch) or in the
// pHYs chunk (dots per metre, rounded); dpi 0 leaves it out. Failure code: picture-not-encoded.
Result<std::vector<unsigned char>> scan_file_bytes(const std::string& kind, const cv::Mat& image, int dpi,
                                                   int jpeg_quality);

// Writes them; the name's ending tells the kind. Returns the file's size.
// Failure codes: picture-not-encoded, file-not-written.
Result<std::size_t> write_scan(const std::string& path, const cv::Mat& image, int dpi, int jpeg_quality = 90);

}  // namespace tapersight
