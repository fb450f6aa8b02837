#include "synth/wood_photos.h"

#include <algorithm>
#include <filesystem>
#include <opencv2/imgcodecs.hpp>

namespace tapersight {
namespace {

namespace fs = std::filesystem;

// All looked at, one by one, in Debian 12. What looked drawn or computed was left out. The scales are from
// what a wood is known to have (rays, pores, rings, curl, knots: from memory) and good to a factor of 1.5 or
// so.
// The palest woods send back some 0.6 of the light (fresh maple, birch: from memory). Pictures of them that
// are brighter, brighter than paper even, were made so on purpose.
constexpr double kPaleWood = 0.6;

const char* const kQgo = "/usr/share/qgo/boardtextures/";
const char* const kPychess = "/usr/share/pychess/boards/";
const char* const kXboard = "/usr/share/games/xboard/themes/textures/";
const char* const kPine = "/usr/share/games/colobot/textures/objects/wood01.png";

std::vector<WoodPhoto> from_qgo() {
  const auto hard = WoodKind::kHardwood;
  const auto soft = WoodKind::kSoftwood;
  const auto path = [](const char* name) { return std::string(kQgo) + name; };
  return {
      {"qgo",
       path("barcelona_cherry.png"),
       hard,
       Figure::kStraight,
       Grain::kDown,
       0.2,
       "rings 10 to 14 pixels apart, of a quick tree 2 to 3 mm",
       {0, 0, 400, 400}},
      {"qgo",
       path("eurobeech.png"),
       hard,
       Figure::kWild,
       Grain::kDown,
       0.2,
       "rays of beech are 1 to 3 mm tall: about 10 pixels",
       {0, 0, 400, 400}},
      {"qgo",
       path("goldenbeech.png"),
       hard,
       Figure::kStraight,
       Grain::kDown,
       0.3,
       "rays of beech are 1 to 3 mm tall: about 6 pixels",
       {0, 0, 400, 400}},
      {"qgo",
       path("lemontree.png"),
       hard,
       Figure::kWild,
       Grain::kDown,
       0.2,
       "rings beside the cathedral 10 to 15 pixels apart, 2 to 3 mm",
       {0, 0, 400, 400},
       kPaleWood},
      {"qgo",
       path("manitoba.png"),
       hard,
       Figure::kWild,
       Grain::kDown,
       0.2,
       "curl of maple repeats every 5 to 10 mm: about 35 pixels",
       {0, 0, 400, 400}},
      {"qgo",
       path("maple.png"),
       hard,
       Figure::kWild,
       Grain::kDown,
       0.3,
       "curl of maple repeats every 3 to 8 mm: about 14 pixels",
       {0, 0, 300, 300},
       kPaleWood},
      {"qgo",
       path("wood.png"),
       soft,
       Figure::kStraight,
       Grain::kDown,
       0.25,
       "rings of slow spruce 1 to 1.5 mm apart: 4 to 6 pixels",
       {0, 0, 300, 300}},
      {"qgo",
       path("wood3.png"),
       soft,
       Figure::kStraight,
       Grain::kDown,
       0.2,
       "rings of quarter-sawn fir 1.5 to 2 mm apart: about 8 pixels",
       {0, 0, 200, 200}},
  };
}

std::vector<WoodPhoto> from_pychess() {
  const auto hard = WoodKind::kHardwood;
  const auto path = [](const char* name) { return std::string(kPychess) + name; };
  // The border of three pixels that most of them have is left out.
  return {
      {"pychess",
       path("cherry_d.png"),
       hard,
       Figure::kStraight,
       Grain::kDown,
       0.3,
       "stained; streaks about 10 pixels apart, taken for rings of 3 mm",
       {3, 3, 194, 194}},
      {"pychess",
       path("maple_d.png"),
       hard,
       Figure::kWild,
       Grain::kDown,
       0.4,
       "curl repeats every 12 pixels, of maple 3 to 8 mm",
       {3, 3, 154, 154}},
      {"pychess",
       path("maple_l.png"),
       hard,
       Figure::kStraight,
       Grain::kDown,
       0.25,
       "rings 10 to 12 pixels apart, 2.5 to 3 mm",
       {3, 3, 152, 152},
       kPaleWood},
      {"pychess",
       path("mahogony_d.png"),
       hard,
       Figure::kWild,
       Grain::kDown,
       0.4,
       "cut pores 3 to 6 pixels long, of a tropical wood 1 to 3 mm",
       {3, 3, 152, 152}},
      {"pychess",
       path("brazilwood_d.png"),
       hard,
       Figure::kWild,
       Grain::kDown,
       0.3,
       "cut pores about 8 pixels long, 1 to 3 mm",
       {3, 3, 152, 152}},
      {"pychess",
       path("sandlewood_d.png"),
       hard,
       Figure::kStraight,
       Grain::kAcross,
       0.35,
       "cut pores about 6 pixels long, 1 to 3 mm",
       {3, 3, 152, 152}},
      {"pychess",
       path("wood_d.png"),
       hard,
       Figure::kStraight,
       Grain::kDown,
       0.4,
       "streaks about 8 pixels apart, taken for rings of 3 mm",
       {3, 3, 104, 104}},
      {"pychess",
       path("wood_l.png"),
       hard,
       Figure::kStraight,
       Grain::kDown,
       0.3,
       "rings about 8 pixels apart, 2 to 3 mm",
       {3, 3, 104, 104}},
  };
}

std::vector<WoodPhoto> from_others() {
  const auto hard = WoodKind::kHardwood;
  const auto soft = WoodKind::kSoftwood;
  const auto pine = [&](Figure figure, const cv::Rect& part) {
    return WoodPhoto{"colobot-common-textures",
                     kPine,
                     soft,
                     figure,
                     Grain::kAcross,
                     0.5,
                     "rings of pine 2 mm apart: 4 pixels; knots of 10 mm: 20 pixels",
                     part};
  };
  return {
      {"xboard",
       std::string(kXboard) + "wood_d.png",
       hard,
       Figure::kStraight,
       Grain::kAcross,
       0.4,
       "rays of beech are 1 to 3 mm tall: about 5 pixels",
       {0, 0, 129, 129}},
      {"xboard",
       std::string(kXboard) + "wood_l.png",
       hard,
       Figure::kWild,
       Grain::kDown,
       0.4,
       "short pores of 2 to 4 pixels, of birch or maple about 1 mm",
       {0, 0, 129, 129},
       kPaleWood},
      {"pinball-table-hurd-data",
       "/usr/share/games/pinball/hurd/wood.jpg",
       hard,
       Figure::kWild,
       Grain::kAcross,
       0.5,
       "a flat-sawn board, its cathedral 60 pixels across, taken for 30 mm",
       {0, 0, 256, 128}},
      pine(Figure::kWild, {1, 1, 126, 126}),
      pine(Figure::kStraight, {129, 1, 126, 126}),
      pine(Figure::kWild, {257, 1, 126, 126}),
      pine(Figure::kWild, {385, 1, 126, 126}),
      pine(Figure::kStraight, {1, 129, 254, 126}),
      pine(Figure::kStraight, {257, 129, 254, 126}),
  };
}

}  // namespace

const std::vector<WoodPhoto>& wood_photos() {
  static const std::vector<WoodPhoto> all = [] {
    std::vector<WoodPhoto> list = from_qgo();
    for (const auto& more : {from_pychess(), from_others()})
      list.insert(list.end(), more.begin(), more.end());
    return list;
  }();
  return all;
}

std::vector<std::string> missing_wood_packages(const std::string& root) {
  std::vector<std::string> missing;
  for (const WoodPhoto& photo : wood_photos())
    if (!fs::exists(root + photo.path) &&
        std::find(missing.begin(), missing.end(), photo.package) == missing.end())
      missing.push_back(photo.package);
  return missing;
}

Result<FacePhoto> load_wood_photo(const WoodPhoto& photo, const std::string& root) {
  const std::string path = root + photo.path;
  if (!fs::exists(path))
    return Failure{"package-missing",
                   "A photograph of wood is not there: the package " + photo.package + " holds it.",
                   "Install it: apt-get install --no-install-recommends " + photo.package + "."};
  const cv::Mat picture = cv::imread(path, cv::IMREAD_COLOR);
  if (picture.empty())
    return Failure{"picture-damaged", "\"" + path + "\" is not a picture that can be read.",
                   "Install the package " + photo.package + " anew."};
  if ((photo.part & cv::Rect(cv::Point(0, 0), picture.size())) != photo.part)
    return Failure{"picture-too-small", "\"" + path + "\" is not the picture that was looked at.",
                   "Look at it, and change its line in the table of wood photographs."};
  cv::Mat part = picture(photo.part);
  // Fibres down the picture, as FaceScene has them along the strip.
  if (photo.grain == Grain::kAcross) cv::rotate(part, part, cv::ROTATE_90_CLOCKWISE);
  FacePhoto face(part, photo.mm_per_px);
  if (photo.tone > 0) face.set_mean(photo.tone);
  return face;
}

}  // namespace tapersight
