// What a sled's record says about how its fence answers: how far it really turns for a move, whether the last
// move did what it should, and whether there is anything left to do.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "fence/fence_error.h"
#include "fence/tolerance.h"
#include "record/entry.h"

namespace tapersight {

// How well a typed pivot distance is trusted before the record says more: 15 % off at the very most, a
// rectangular distribution, so 0.15 / sqrt(3).
inline constexpr double kTrustInTypedDistance = 0.0866;

// The fence's turning for a move against move / pivot distance; 1 when the typed distance is right.
struct Response {
  double gain = 1;
  double u = kTrustInTypedDistance;     // standard uncertainty of gain
  std::optional<double> measured_gain;  // from the record's moves alone
  double measured_u = 0;                // its standard uncertainty
  int moves_used = 0;                   // moves between two measurements that fit the picture
};

enum class MoveVerdict {
  kAsExpected,
  kDistanceOff,  // it answered more or less than the typed distance says, by no more than a wrong distance
                 // explains
  kDidNotMove,   // no turning was seen where one was due
  kWrongWay,     // it turned the other way
  kSlipped,      // turned less than half or more than 1.6 times what was due
  kCannotBeTold  // the move was smaller than the measurements can see
};
std::string_view move_verdict_name(MoveVerdict verdict);

// One step of the record: the moves between two measured states of the fence.
struct Step {
  double intended = 0;    // rad, by the typed distances
  double u_intended = 0;  // of making the moves, without the trust in the distance
  double observed = 0;    // rad, later error - earlier error
  double u_observed = 0;
  double U_observed = 0;  // expanded
  MoveVerdict verdict = MoveVerdict::kCannotBeTold;
};

enum class Due { kMeasure, kMove, kNothing };

struct RecordAnalysis {
  std::vector<FenceError> states;  // one for each run of measurements without a move between them: their mean
  std::vector<Step> steps;         // between the states: states.size() - 1, if that
  Response response;
  bool moved_since = false;  // there is a move after the last measurement
  // The error left is not larger than its uncertainty: another move would chase the measurement's noise.
  bool stop_here = false;
  Due due = Due::kMeasure;
};

// Steps that went the wrong way, slipped or did not move are left out of the response. The rest go into one
// weighted least squares for the gain; two steps share the measurement between them, and the weights know
// that. Measurements without an uncertainty (u = 0) are taken as they are. `tolerance` may be left out.
RecordAnalysis analyse_record(const std::vector<RecordEntry>& entries,
                              const std::optional<Tolerance>& tolerance = {});

// correction_move, with the distance corrected by the response and its uncertainty in the move's.
// Failures: those of correction_move.
Result<FenceMove> next_move(const FenceError& error, const SledSetup& setup, const Response& response);

// What the record says in shop words, the last step first.
std::vector<std::string> describe_analysis(const RecordAnalysis& analysis, Units units);

// Why the move is no surer than it is: how far the typed pivot distance is trusted.
std::string trust_in_distance(const Response& response);

// What has to be found out before the fence is moved again, when the last move did not do what it should;
// empty otherwise.
std::string see_to_first(const RecordAnalysis& analysis);

// The entries as a table, one line an entry, times as the local clock shows them, errors in thou over 12 in
// or mm/m with their expanded uncertainty.
std::vector<std::string> record_table(const std::vector<RecordEntry>& entries, Units units);

// The errors over the record with their intervals beside the tolerance, an arrow for each move, as an SVG
// drawing; `name` is the sled's.
std::string record_plot_svg(const std::vector<RecordEntry>& entries, std::string_view name, Units units,
                            const std::optional<Tolerance>& tolerance = {});

}  // namespace tapersight
