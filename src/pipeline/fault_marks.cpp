#include "pipeline/fault_marks.h"

#include <algorithm>

#include "edges/find_strip.h"
#include "pipeline/stages.h"
#include "target/find_sheet.h"
#include "target/fit_camera.h"

namespace tapersight {
namespace {

constexpr std::size_t kLeastSaddles = 12;  // to know where the others should be
constexpr double kLeastShownMm2 = 150;     // smaller things are chips and dust
constexpr std::size_t kMostPieces = 6;

bool holds(const std::vector<Correspondence>& found, const Eigen::Vector2d& at_mm) {
  return std::any_of(found.begin(), found.end(),
                     [&](const Correspondence& c) { return c.sheet_mm == at_mm; });
}

}  // namespace

FaultMarks fault_marks(const cv::Mat& grey, bool with_sheet) {
  FaultMarks marks;
  if (!with_sheet || check_picture_size(grey)) return marks;
  const Result<FoundSheet> sheet = find_sheet(grey);
  if (!sheet) return marks;
  for (const Correspondence& saddle : sheet->saddles) marks.seen_px.push_back(saddle.picture_px);
  if (sheet->saddles.size() < kLeastSaddles) return marks;
  const CameraFit camera = fit_camera(sheet->saddles, grey.cols, grey.rows);
  if (!camera.good) return marks;
  const SheetMap map(camera.view);
  for (const Saddle& saddle : sheet->layout->saddles)
    if (!holds(sheet->saddles, saddle.at_mm))
      marks.missing_px.push_back(map.picture_from_sheet(saddle.at_mm));
  const RectMm& channel = sheet->layout->channel;
  const Eigen::Vector2d low(channel.x, channel.y), high(channel.right(), channel.bottom());
  for (const Eigen::Vector2d& corner :
       {low, Eigen::Vector2d(high.x(), low.y()), high, Eigen::Vector2d(low.x(), high.y())})
    marks.channel_px.push_back(map.picture_from_sheet(corner));
  StripSearch search;
  search.low_mm = low;
  search.high_mm = high;
  for (const PlacedPiece& piece : find_pieces(grey, map, search)) {
    if (piece.length_mm * piece.width_mm < kLeastShownMm2 || marks.pieces_px.size() == kMostPieces) break;
    marks.pieces_px.emplace_back();
    for (const Eigen::Vector2d& corner : piece.grown(1))
      marks.pieces_px.back().push_back(map.picture_from_sheet(corner));
  }
  return marks;
}

}  // namespace tapersight
