// The two long sides of a strip in a scan, from their outlines to a taper. Only for this folder.
#pragma once
#include <array>
#include <optional>
#include <vector>

#include "edges/choose_border.h"
#include "edges/line_beside.h"
#include "edges/trace_edges.h"
#include "pipeline/stages.h"

namespace tapersight {

struct ScanSide {
  SidePath outline;                     // where the coarse outline has it
  BorderCandidate edge;                 // the line that is taken for it
  std::vector<BorderCandidate> rivals;  // other lines that could be it
  SidePath path;                        // on the edge
  std::optional<FoundLineBeside> beside;
};

using ScanSides = std::array<ScanSide, 2>;

// What the sides are seen in.
struct ScanView {
  const ScanLines* lines;
  double px_per_mm, blur_px;  // blur of the sheet's own edges
  Deadline deadline;
};

// `search`: where the strip was looked for. Failures: those of choose_border, "saturated".
Result<ScanSides> choose_sides(const ScanView& view, const SheetMap& map, const StripOutline& outline,
                               const StripSearch& search);

// The same side with another of its lines taken for the edge.
ScanSide with_line(const ScanView& view, const ScanSide& side, const BorderCandidate& line);

struct TracedSides {
  EdgeTrace trace;
  StripMeasurement strip;
  StripFitOptions fit;          // with what the sides bring to it
  bool beside_matters = false;  // another line close beside an edge widens the interval
};

// Failures: those of measure_strip.
Result<TracedSides> trace_sides(const ScanView& view, const ScanSides& sides, const PictureMeasurement& m,
                                StripFitOptions fit);

}  // namespace tapersight
