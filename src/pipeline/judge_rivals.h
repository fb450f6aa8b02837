// Which of a scan's lines are the strip's edges, where more than one could be? Only for this folder.
#pragma once
#include <string>
#include <vector>

#include "pipeline/scan_sides.h"

namespace tapersight {

// A line that could be the edge.
struct OpenLine {
  int side = 0;
  char letter = '\0';  // A, B, ... from left to right on the printed sheet; only of sides that are open
  BorderCandidate line;
  ScanSide as_edge;  // the side with this line taken
};

struct RivalVerdict {
  std::vector<OpenLine> open;  // the lines of the sides whose tapers differ by too much, the chosen ones too
  double spread_u = 0;         // standard uncertainty of the taper from lines that differ by little
  int spread_side = 0;         // the side with most of that
};

// Every line that the sides leave open is traced and measured in the place of the chosen one. `traced`: with
// the chosen lines.
RivalVerdict judge_rivals(const ScanView& view, const ScanSides& sides, const TracedSides& traced,
                          const PictureMeasurement& m, const StripFitOptions& fit);

// "edge-unclear": what lies open, with the lines marked in the picture.
Failure edge_unclear(const ScanView& view, const std::vector<OpenLine>& open);

struct TakenLines {
  ScanSides sides;
  std::vector<OpenLine> still_open;  // of sides of which nothing was told
};

// The sides with the lines of these letters taken. Failure "take-unknown": a letter that no line bears, two
// of one side.
Result<TakenLines> take_lines(const ScanSides& sides, const std::vector<OpenLine>& open,
                              const std::string& letters);

}  // namespace tapersight
