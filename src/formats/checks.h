// What the formats' readers refuse in the same words.
#pragma once
#include <optional>

#include "formats/format.h"

namespace tapersight {

Failure damaged_picture();
Failure named(Failure failure, const std::string& path);  // its text made a sentence of the file
Failure unsupported_picture(const std::string& what);     // "is a PDF that needs a password"

// Before decoding: the header's width and height, and the bytes that file, grey picture and decoder take
// together.
std::optional<Failure> check_size(double width, double height, double memory_bytes, const ReadLimits& limits);

// Room for the grey pixels, CV_8UC1, where the options want it.
cv::Mat grey_picture(int rows, int columns, const ReadOptions& options);

// The page to read, from 0. Failures "several-pages", "no-such-page".
Result<int> page_to_read(std::optional<int> wanted, int pages);

// Formats that hold one picture only.
std::optional<Failure> check_only_page(const ReadOptions& options);

}  // namespace tapersight
