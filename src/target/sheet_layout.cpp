#include "target/sheet_layout.h"

#include <cmath>
#include <map>
#include <opencv2/aruco.hpp>

namespace tapersight {
namespace {

constexpr double kSquareMm = 8;  // 94 px at 300 dpi, well above the 60 px at which corners lose precision
constexpr double kMarkerMm = 6;
constexpr double kRimMm = 3;  // enough ink around the outer saddles for their window
constexpr int kColumns = 3;   // saddle columns of a block
constexpr double kChannelWidthMm = 60;
constexpr double kWideChannelMm =
    144;  // six strips of 16 mm with 8 mm between them; A4 keeps margins of 8 mm
constexpr double kChannelLengthMm = 258;  // a 10 in (254 mm) strip and 2 mm at each end
constexpr double kChannelGapMm = 3;       // between block and channel: room for the knife

bool square_is_black(int row, int column) {
  return (row + column) % 2 == 0;
}

SheetLayout make_layout(const std::string& id, double width_mm, double height_mm, int first_marker,
                        Channel kind = Channel::kOneStrip) {
  SheetLayout layout;
  layout.id = id;
  layout.kind = kind;
  layout.page_width_mm = width_mm;
  layout.page_height_mm = height_mm;
  layout.square_mm = kSquareMm;
  layout.rim_mm = kRimMm;
  const double channel_mm = kind == Channel::kWide ? kWideChannelMm : kChannelWidthMm;
  layout.channel = {(width_mm - channel_mm) / 2, (height_mm - kChannelLengthMm) / 2, channel_mm,
                    kChannelLengthMm};
  const double block_width = (kColumns - 1) * kSquareMm + 2 * kRimMm;
  const double block_height = (kSaddleRows - 1) * kSquareMm + 2 * kRimMm;
  const double top = (height_mm - block_height) / 2;
  int marker = first_marker;
  for (int b = 0; b < 2; ++b) {
    const double left =
        b == 0 ? layout.channel.x - kChannelGapMm - block_width : layout.channel.right() + kChannelGapMm;
    layout.blocks.push_back({left, top, block_width, block_height});
    const Eigen::Vector2d first(left + kRimMm, top + kRimMm);
    for (int r = 0; r < kSaddleRows; ++r)
      for (int c = 0; c < kColumns; ++c) {
        layout.saddles.push_back({first + kSquareMm * Eigen::Vector2d(c, r), b, r, c, square_is_black(r, c)});
        const bool full_square = r + 1 < kSaddleRows && c + 1 < kColumns;
        if (full_square && !square_is_black(r + 1, c + 1))
          layout.markers.push_back(
              {marker++, b, first + kSquareMm * Eigen::Vector2d(c + 0.5, r + 0.5), kMarkerMm});
      }
  }
  const double bar_x_y = top - 3.2;  // between the page's unprinted margin and the blocks
  layout.bar_x = {{width_mm / 2 - 76.2, bar_x_y}, {width_mm / 2 + 76.2, bar_x_y}};
  const double bar_y_x = layout.blocks[0].x - (kind == Channel::kWide ? 2.2 : 8);
  layout.bar_y = {{bar_y_x, height_mm / 2 - 101.6}, {bar_y_x, height_mm / 2 + 101.6}};
  return layout;
}

}  // namespace

const SheetLayout& sheet_layout(Paper paper, Channel channel) {
  static const SheetLayout a4 = make_layout("a4", 210, 297, 0);
  static const SheetLayout letter = make_layout("letter", 215.9, 279.4, 100);
  static const SheetLayout a4_wide = make_layout("a4-wide", 210, 297, 200, Channel::kWide);
  static const SheetLayout letter_wide = make_layout("letter-wide", 215.9, 279.4, 300, Channel::kWide);
  if (channel == Channel::kWide) return paper == Paper::kA4 ? a4_wide : letter_wide;
  return paper == Paper::kA4 ? a4 : letter;
}

const std::vector<const SheetLayout*>& all_sheet_layouts() {
  static const std::vector<const SheetLayout*> all = {
      &sheet_layout(Paper::kA4), &sheet_layout(Paper::kLetter), &sheet_layout(Paper::kA4, Channel::kWide),
      &sheet_layout(Paper::kLetter, Channel::kWide)};
  return all;
}

const std::vector<bool>& marker_bits(int id) {
  static const std::vector<std::vector<bool>> all = [] {
    const auto dictionary = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000);
    std::vector<std::vector<bool>> bits(1000);
    for (int i = 0; i < static_cast<int>(bits.size()); ++i) {
      const cv::Mat code =
          cv::aruco::Dictionary::getBitsFromByteList(dictionary->bytesList.row(i), kMarkerBits);
      for (int r = 0; r < kMarkerBits; ++r)
        for (int c = 0; c < kMarkerBits; ++c) bits[i].push_back(code.at<uchar>(r, c) != 0);
    }
    return bits;
  }();
  return all.at(id);
}

bool SheetLayout::fiducial_ink_at(const Eigen::Vector2d& p) const {
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    const RectMm& block = blocks[b];
    if (!block.contains(p)) continue;
    // The squares are counted from the rim: square (row, column) ends at saddle (row, column).
    const double fx = (p.x() - block.x - rim_mm) / square_mm;
    const double fy = (p.y() - block.y - rim_mm) / square_mm;
    const int column = static_cast<int>(std::floor(fx)) + 1;
    const int row = static_cast<int>(std::floor(fy)) + 1;
    if (square_is_black(row, column)) return true;
    if (column < 1 || row < 1 || column >= kColumns || row >= kSaddleRows) return false;
    // A row of full squares has two, one of them white: the row counts the markers of a block.
    static_assert(kColumns == 3, "one marker a row of squares");
    const std::size_t per_block = markers.size() / blocks.size();
    const Marker& marker = markers[b * per_block + static_cast<std::size_t>(row - 1)];
    const double mx = (p.x() - marker.centre_mm.x()) / marker.side_mm + 0.5;
    const double my = (p.y() - marker.centre_mm.y()) / marker.side_mm + 0.5;
    if (mx < 0 || my < 0 || mx >= 1 || my >= 1) return false;
    const int module_x = static_cast<int>(mx * kMarkerModules);
    const int module_y = static_cast<int>(my * kMarkerModules);
    const bool border =
        module_x == 0 || module_y == 0 || module_x == kMarkerModules - 1 || module_y == kMarkerModules - 1;
    return border || !marker_bits(marker.id)[(module_y - 1) * kMarkerBits + module_x - 1];
  }
  return false;
}

}  // namespace tapersight
