// Where a PDF's page shows which pictures.
#pragma once
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <vector>

namespace tapersight {

struct PlacedPicture {
  QPDFObjectHandle image;
  // The picture's way to the right and up, as seen on the page as it is shown, in points.
  double right_x = 0, right_y = 0, up_x = 0, up_y = 0;

  double area() const;
  int orientation() const;  // as EXIF numbers it, to the nearest quarter turn
};

// In the order of drawing, forms within forms included. Throws what qpdf throws, and std::runtime_error where
// a content is damaged or goes on too long.
std::vector<PlacedPicture> placed_pictures(QPDF& pdf, QPDFObjectHandle page);

}  // namespace tapersight
