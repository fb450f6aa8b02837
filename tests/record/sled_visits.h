// A sled that is measured and moved until nothing more is told, without pictures: the fence turns by what its
// true pivot distance makes of a move, each strip shows it with the scatter of its cutting. The truth is
// known throughout; of the program only what `measure --record` does with an error is used.
#pragma once
#include <cmath>
#include <optional>
#include <vector>

#include "base/rng.h"
#include "base/units.h"
#include "record/response.h"

namespace tapersight::testing {

inline constexpr double kThouPerFoot = kMmPerThou / kMmPerFoot;  // rad, one thou over 12 in

struct VisitedSled {
  double theta = 0;  // rad, hidden
  double true_distance_mm = 1143;
  double typed_over_true = 1;
  double cut_scatter = 0;                // rad, standard deviation of a strip about the fence
  double u_strip = 0.06 * kThouPerFoot;  // of a strip's measurement, honestly stated
  double move_within_mm = kMmPerThou;    // of making a move, standard deviation
  int most_moves = 12;
};

struct VisitOutcome {
  int moves = 0;
  bool stopped = false;       // nothing more was told
  bool square_said = false;   // and it was called square
  double theta = 0;           // in the end
  double theta_in_four = 0;   // after at most four moves
  double worst = 0;           // largest error ever, rad
  double before_worst = 0;    // the error at the start
  int asked = 0;              // for the pivot distance
  bool false_square = false;  // "square" was said of a fence beyond the tolerance
};

// Asked for the distance, the person types what the program says it seems to be.
inline VisitOutcome visit(VisitedSled sled, const Tolerance& tolerance, Rng& rng) {
  VisitOutcome out;
  out.before_worst = out.worst = std::fabs(sled.theta);
  out.theta_in_four = sled.theta;
  SledSetup setup;
  setup.pivot_distance_mm = sled.true_distance_mm * sled.typed_over_true;
  std::vector<RecordEntry> entries;
  while (out.moves <= sled.most_moves) {
    MeasurementEntry seen;
    seen.when = "2031-05-07T09:30:00Z";
    seen.source = "strip.jpg";
    seen.theta = sled.theta + sled.cut_scatter * rng.normal() + sled.u_strip * rng.normal();
    seen.u = sled.u_strip;
    entries.emplace_back(seen);
    const RecordAnalysis analysis = analyse_record(entries, tolerance);
    const FenceError& fence = analysis.states.back().fence;
    const Verdict verdict = decide(fence, tolerance).verdict;
    out.square_said = verdict == Verdict::kSquare;
    out.false_square = out.false_square || (out.square_said && std::fabs(sled.theta) > tolerance.angle);
    out.stopped = analysis.due != Due::kMove;
    if (out.stopped || out.moves == sled.most_moves) break;
    if (const NextDistance next = next_distance(analysis.response, *setup.pivot_distance_mm); next.ask) {
      ++out.asked;
      setup.pivot_distance_mm = *next.seems_mm;
    }
    const auto move = next_move(fence, setup, analysis.response);
    if (!move) break;
    MoveEntry entry;
    entry.when = "2031-05-07T09:40:00Z";
    entry.by = "feelers";
    entry.move_mm = move->move_mm;
    entry.u_mm = kMmPerThou;
    entry.pivot_distance_mm = *setup.pivot_distance_mm;
    entry.end = move->end;
    entry.toward = move->toward;
    entries.emplace_back(entry);
    const double made_mm = std::fmax(0, move->move_mm + sled.move_within_mm * rng.normal());
    const double sign = entry.intended_turn() < 0 ? -1 : 1;
    sled.theta += sign * made_mm / sled.true_distance_mm;
    ++out.moves;
    if (out.moves <= 4) out.theta_in_four = sled.theta;
    out.worst = std::fmax(out.worst, std::fabs(sled.theta));
  }
  out.theta = sled.theta;
  return out;
}

}  // namespace tapersight::testing
