#include "options/picture_words.h"

#include <algorithm>
#include <vector>

#include "base/text.h"
#include "options/bar_options.h"
#include "options/shop_options.h"

namespace tapersight {
namespace {

constexpr double kMostThicknessMm = 60;

Result<PictureSide> parse_picture_side(const std::string& text) {
  const std::string name = lower_case(text);
  if (name == "top") return PictureSide::kTop;
  if (name == "bottom") return PictureSide::kBottom;
  if (name == "left") return PictureSide::kLeft;
  if (name == "right") return PictureSide::kRight;
  return Failure{"bad-picture-side", "\"" + text + "\" is not a side of the picture.",
                 "Write top, bottom, left or right."};
}

// "A", "a,c" or "AC": one letter or two, a side each.
Result<std::string> parse_letters(const std::string& text) {
  std::string letters;
  for (const char c : text) {
    if (c == ',' || c == ' ') continue;
    const char upper = static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c);
    if (upper < 'A' || upper > 'Z' || letters.size() == 2)
      return Failure{"bad-take", "\"" + text + "\" does not name one or two lines by their letters.",
                     "Write the letter of the line that is the edge, like --take B, or one for each side: "
                     "--take B,C."};
    letters += upper;
  }
  if (letters.empty())
    return Failure{"bad-take", "--take needs a letter.",
                   "Write the letter of the line that is the edge: --take B."};
  return letters;
}

// X,Y,W,H in whole pixels.
Result<cv::Rect> parse_region(const std::string& text) {
  const Failure bad{"bad-region", "\"" + text + "\" is not a region of the picture.",
                    "Write left, top, width and height in pixels: 100,200,900,2400."};
  std::vector<int> numbers;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(',', at), text.size());
    const auto number = parse_number(text.substr(at, end - at));
    if (!number || *number < 0 || *number > 1e6 || *number != static_cast<int>(*number)) return bad;
    numbers.push_back(static_cast<int>(*number));
    at = end + 1;
  }
  if (numbers.size() != 4 || numbers[2] == 0 || numbers[3] == 0) return bad;
  return cv::Rect(numbers[0], numbers[1], numbers[2], numbers[3]);
}

// Options that would do nothing in the chosen mode are refused: whoever types one expects it to matter.
std::optional<Failure> check_mode(const PictureWords& options) {
  if (options.without_target) {
    if (options.kind)
      return does_nothing("--kind", "without a printed sheet: only a scan can be measured that way");
    if (options.thickness) return does_nothing("--thickness", "without a printed sheet");
    if (options.bar_x) return does_nothing("--bar-x", "without a printed sheet");
    if (options.bar_y) return does_nothing("--bar-y", "without a printed sheet");
    return std::nullopt;
  }
  if (options.fence_end_at)
    return does_nothing("--fence-end-at", "with a printed sheet, which shows the fence end itself");
  if (options.scan_dpi)
    return does_nothing("--scan-dpi", "with a printed sheet, which shows the scale itself");
  if (options.region) return does_nothing("--region", "with a printed sheet, whose channel is the region");
  return std::nullopt;
}

}  // namespace

Result<PictureOptions> picture_options(const PictureWords& options, Units units) {
  if (const auto failure = check_mode(options)) return *failure;
  PictureOptions picture;
  picture.without_target = options.without_target;
  if (options.kind) {
    if (*options.kind != "photo" && *options.kind != "scan")
      return Failure{"bad-kind", "\"" + *options.kind + "\" is no kind of picture.", "Write scan or photo."};
    picture.kind = *options.kind == "photo" ? PictureKind::kPhoto : PictureKind::kScan;
  }
  if (options.thickness) {
    const auto thickness = parse_positive_length(*options.thickness, units, "--thickness");
    if (!thickness) return thickness.failure();
    if (*thickness > kMostThicknessMm)
      return Failure{"bad-thickness", "--thickness: no strip is " + *options.thickness + " thick.",
                     "Write the board's thickness with its unit, like 3/4in or 18mm."};
    picture.thickness_mm = *thickness;
  }
  if (options.take) {
    const auto letters = parse_letters(*options.take);
    if (!letters) return letters.failure();
    picture.take = *letters;
  }
  if (const auto failure = set_bars(picture, options.bar_x, options.bar_y, units)) return *failure;
  if (options.fence_end_at) {
    const auto side = parse_picture_side(*options.fence_end_at);
    if (!side) return side.failure();
    picture.fence_end = *side;
  }
  picture.scan_dpi = options.scan_dpi;
  if (options.region) {
    const auto region = parse_region(*options.region);
    if (!region) return region.failure();
    picture.region_px = *region;
  }
  return picture;
}

}  // namespace tapersight
