// PDF as office scanners write it: one picture a page, taken out as it is, never drawn anew. By libqpdf.
#pragma once
#include "formats/format.h"

namespace tapersight {

bool is_pdf(const std::string& bytes);

// The dpi are those at which the page shows the picture. A page of several pictures ("compact" PDF, bands) is
// not supported.
Result<FilePicture> read_pdf(const std::string& bytes, const ReadOptions& options);

}  // namespace tapersight
