// The sled from above: a board is cut as this sled cuts it, with the fence turned far more than it is, so
// that board, strip and wedge lie as they really would.
#pragma once
#include <optional>
#include <string>

#include "assess/measurement_report.h"
#include "fence/sled_setup.h"
#include "page/html.h"

namespace tapersight {

struct SledSketch {
  SledSetup setup;
  Sense sense = Sense::kNone;      // which way the fence is drawn turned; kNone: not known, drawn square
  Toward move = Toward::kNowhere;  // an arrow for the move
  bool ring = false;               // no test strip falls off
  Units units = Units::kInch;
};
SledSketch sketch_of(const MeasurementReport& report);

// `alt` says what is seen.
Markup sled_drawing(const SledSketch& sketch, const std::string& alt);

}  // namespace tapersight
