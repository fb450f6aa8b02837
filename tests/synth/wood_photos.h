// Photographs of real wood in Debian packages: which there are, and how large a pixel is. Nothing of them is
// kept here; they are read from the installed package.
#pragma once
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/result.h"
#include "synth/face_photo.h"

namespace tapersight {

enum class Grain { kDown, kAcross };  // the way the fibres run in the photograph
enum class WoodKind { kSoftwood, kHardwood };
enum class Figure { kStraight, kWild };  // wild: knots, cathedrals, curl, interlocked grain

struct WoodPhoto {
  std::string package, path;
  WoodKind kind = WoodKind::kHardwood;
  Figure figure = Figure::kStraight;
  Grain grain = Grain::kDown;
  double mm_per_px = 0;  // assumed; nobody measured the boards
  std::string reason;    // why that scale
  cv::Rect part;         // of the picture
  double tone = 0;  // assumed mean reflectance, where the picture's own light cannot be the wood's; 0: it can
};

const std::vector<WoodPhoto>& wood_photos();

// The packages that hold them and are not installed, each once. `root`: where paths start.
std::vector<std::string> missing_wood_packages(const std::string& root = "");

// Failures: "package-missing" (says which to install), "picture-damaged", "picture-too-small" (not the
// picture that the table was made from).
Result<FacePhoto> load_wood_photo(const WoodPhoto& photo, const std::string& root = "");

}  // namespace tapersight
