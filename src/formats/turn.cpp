#include "formats/turn.h"

#include <utility>

namespace tapersight {

FilePicture turned_upright(FilePicture picture, int orientation) {
  if (orientation < 2 || orientation > 8) return picture;
  if (orientation >= 5) {
    cv::Mat across;
    cv::transpose(picture.grey, across);
    picture.grey = across;
    if (picture.dpi) std::swap(picture.dpi->u, picture.dpi->v);
  }
  // What is left after the transposition: about the upright axis, both, or the level one.
  constexpr int kMirror[] = {9, 9, 1, -1, 0, 9, 1, -1, 0};
  if (kMirror[orientation] != 9) cv::flip(picture.grey, picture.grey, kMirror[orientation]);
  return picture;
}

}  // namespace tapersight
