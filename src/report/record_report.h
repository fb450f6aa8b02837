// A sled's record and what follows from it: what text and JSON are made from.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "fence/adjustment.h"
#include "record/response.h"

namespace tapersight {

struct RecordReport {
  std::string program_version;
  std::string sled;  // its name
  std::vector<RecordEntry> entries;
  int damaged_lines = 0;
  SledSetup setup;
  Units units = Units::kInch;
  std::optional<Tolerance> tolerance;
  AdjustMeans means;
  RecordAnalysis analysis;
  std::optional<SquarenessDecision> decision;  // of the last state, when it was measured since the last move
  std::optional<FenceMove> move;               // when a move is due and the pivot distance is known
  std::string ask_distance;                    // why none is told, when the record doubts the typed distance
  std::optional<Adjustment> adjustment;
  std::vector<std::string> steps;
};

// Works out the last six from the others. Failures: those of next_move and plan_adjustment.
Result<RecordReport> conclude(RecordReport report);

}  // namespace tapersight
