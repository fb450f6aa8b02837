#include "synth/sheet_ink.h"

#include <cmath>
#include <cstddef>
#include <functional>
#include <utility>

namespace tapersight {
namespace {

// Cells between grid lines, inked or not; outside is white.
struct CellGrid {
  std::vector<double> x, y;  // grid lines
  std::vector<bool> ink;     // row by row
  int columns() const { return static_cast<int>(x.size()) - 1; }
  int rows() const { return static_cast<int>(y.size()) - 1; }
  bool at(int row, int column) const {
    if (row < 0 || column < 0 || row >= rows() || column >= columns()) return false;
    return ink[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns()) +
               static_cast<std::size_t>(column)];
  }
};

CellGrid chessboard_grid(const SheetLayout& layout, const RectMm& block) {
  CellGrid grid;
  const auto lines = [&](double from, double length, std::vector<double>& out) {
    out.push_back(from);
    const int squares = static_cast<int>(std::lround((length - 2 * layout.rim_mm) / layout.square_mm));
    for (int i = 0; i <= squares; ++i) out.push_back(from + layout.rim_mm + i * layout.square_mm);
    out.push_back(from + length);
  };
  lines(block.x, block.width, grid.x);
  lines(block.y, block.height, grid.y);
  // Sampled near a corner of the cell, where no marker reaches.
  const double inside = 0.05 * layout.square_mm;
  for (int r = 0; r < grid.rows(); ++r)
    for (int c = 0; c < grid.columns(); ++c)
      grid.ink.push_back(layout.fiducial_ink_at({grid.x[c] + inside, grid.y[r] + inside}));
  return grid;
}

CellGrid marker_grid(const SheetLayout& layout, const Marker& marker) {
  CellGrid grid;
  const double module = marker.side_mm / kMarkerModules;
  for (int i = 0; i <= kMarkerModules; ++i) {
    grid.x.push_back(marker.centre_mm.x() - marker.side_mm / 2 + i * module);
    grid.y.push_back(marker.centre_mm.y() - marker.side_mm / 2 + i * module);
  }
  for (int r = 0; r < kMarkerModules; ++r)
    for (int c = 0; c < kMarkerModules; ++c)
      grid.ink.push_back(layout.fiducial_ink_at({grid.x[c] + module / 2, grid.y[r] + module / 2}));
  return grid;
}

void add_runs(const CellGrid& grid, std::vector<InkRect>& out) {
  for (int r = 0; r < grid.rows(); ++r)
    for (int c = 0; c < grid.columns(); ++c) {
      const int first = c;
      while (grid.at(r, c)) ++c;
      if (c > first)
        out.push_back({{grid.x[first], grid.y[r], grid.x[c] - grid.x[first], grid.y[r + 1] - grid.y[r]}, 1});
    }
}

// The margin that cell (row, column), of the colour that yields, loses to neighbours of the other colour:
// its four sides and four corners of width d, so that no two rectangles overlap.
void add_margins(const CellGrid& grid, int row, int column, double d, double weight,
                 const std::function<bool(int, int)>& wins, std::vector<InkRect>& out) {
  const auto border = [&](const std::vector<double>& lines, int cell, int side) {
    if (side < 0) return std::pair(lines[cell], lines[cell] + d);
    if (side > 0) return std::pair(lines[cell + 1] - d, lines[cell + 1]);
    return std::pair(lines[cell] + d, lines[cell + 1] - d);
  };
  for (int dr = -1; dr <= 1; ++dr)
    for (int dc = -1; dc <= 1; ++dc) {
      if (dr == 0 && dc == 0) continue;
      const bool won = wins(row + dr, column + dc) || (dr != 0 && wins(row + dr, column)) ||
                       (dc != 0 && wins(row, column + dc));
      if (!won) continue;
      const auto [x0, x1] = border(grid.x, column, dc);
      const auto [y0, y1] = border(grid.y, row, dr);
      if (x1 > x0 && y1 > y0) out.push_back({{x0, y0, x1 - x0, y1 - y0}, weight});
    }
}

// The same grid with a ring of white cells around.
CellGrid with_white_ring(const CellGrid& grid, double width_mm) {
  CellGrid padded = grid;
  for (auto* lines : {&padded.x, &padded.y}) {
    lines->insert(lines->begin(), lines->front() - width_mm);
    lines->push_back(lines->back() + width_mm);
  }
  padded.ink.clear();
  for (int r = -1; r <= grid.rows(); ++r)
    for (int c = -1; c <= grid.columns(); ++c) padded.ink.push_back(grid.at(r, c));
  return padded;
}

void add_spread(const CellGrid& cells, double spread_mm, std::vector<InkRect>& out) {
  if (spread_mm == 0) return;
  const bool grows = spread_mm > 0;
  const double d = std::abs(spread_mm);
  const CellGrid grid = with_white_ring(cells, 4 * d);
  const auto wins = [&](int r, int c) { return grid.at(r, c) == grows; };
  for (int r = 0; r < grid.rows(); ++r)
    for (int c = 0; c < grid.columns(); ++c)
      if (!wins(r, c)) add_margins(grid, r, c, d, grows ? 1 : -1, wins, out);
}

}  // namespace

std::vector<InkRect> fiducial_ink(const SheetLayout& layout, double spread_mm) {
  std::vector<InkRect> ink;
  const auto add = [&](const CellGrid& grid) {
    add_runs(grid, ink);
    add_spread(grid, spread_mm, ink);
  };
  for (const RectMm& block : layout.blocks) add(chessboard_grid(layout, block));
  for (const Marker& marker : layout.markers) add(marker_grid(layout, marker));
  return ink;
}

}  // namespace tapersight
