// JPEG by libjpeg-turbo: baseline and progressive; grey, colour, CMYK and what Adobe's marker says.
#pragma once
#include "formats/format.h"

namespace tapersight {

bool is_jpeg(const std::string& bytes);
Result<FilePicture> read_jpeg(const std::string& bytes, const ReadOptions& options);

// One within a PDF: its own dpi and orientation count for nothing there, and the PDF says whether a CMYK
// picture's values are turned over.
Result<FilePicture> read_jpeg_in_pdf(const std::string& bytes, const ReadOptions& options, bool turned_over);

}  // namespace tapersight
