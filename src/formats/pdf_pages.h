// A PDF's pages in their order.
#pragma once
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <vector>

namespace tapersight {

// The library's own list is made by recursion, and a page that is named twice becomes two: files that nest
// them thousands deep or name one a million times crash it or fill the memory. Throws what qpdf throws, and
// std::runtime_error beyond 100,000 pages or 50 levels.
std::vector<QPDFObjectHandle> pages_of(QPDF& pdf);

}  // namespace tapersight
