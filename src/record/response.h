// What a sled's record says about how its fence answers: how far it really turns for a move, whether the last
// move did what it should, and whether there is anything left to do.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "fence/cut_scatter.h"
#include "fence/fence_error.h"
#include "fence/tolerance.h"
#include "record/entry.h"

namespace tapersight {

// How well a typed pivot distance is trusted before the record says more: 15 % off at the very most, a
// rectangular distribution, so 0.15 / sqrt(3).
inline constexpr double kTrustInTypedDistance = 0.0866;

// What the record's moves say about how far the fence turns for a move, whatever distance was typed for them:
// turn = move / distance.
struct Response {
  std::optional<double> turn_per_mm;  // rad per mm of move; 1 / the effective pivot distance
  double u_turn_per_mm = 0;           // standard uncertainty
  int moves_used = 0;                 // moves between two measurements that tell it
  bool moves_agree = true;            // with each other, at 95 %
  double last_move_mm = 0;            // of the last step, all its moves together
  bool last_made_it_worse = false;    // the error after the last step is larger than before
};

// The pivot distance with which the next move is worked out.
struct NextDistance {
  double distance_mm = 0;
  double u_mm = 0;                 // standard uncertainty
  double gain = 1;                 // typed distance / distance_mm
  std::optional<double> seems_mm;  // what the record's moves say by themselves, when it is not what was typed
  double seems_U_mm = 0;           // its expanded uncertainty
  bool ask = false;                // two moves or more agree on that: no move until the distance is settled
};

// Agreeing with the record's moves, the typed distance is averaged with theirs (weights by their
// uncertainties). Else: moves that agree with each other are believed, and the person is asked. One move
// alone is believed when it turned the fence further than the typed distance says, for a slip loses and never
// gains; when it turned less, it may have slipped, and the mean of the two turns per millimetre leaves the
// smallest error whichever of the two is true.
NextDistance next_distance(const Response& response, double typed_mm);

enum class MoveVerdict {
  kAsExpected,
  kDistanceOff,  // it answered more or less than the typed distance allows: that is wrong, or it slipped
  kDidNotMove,   // no turning was seen where one was due
  kWrongWay,     // it turned the other way
  kCannotBeTold  // the move was smaller than the measurements can see
};
std::string_view move_verdict_name(MoveVerdict verdict);

// One step of the record: the moves between two measured states of the fence.
struct Step {
  double intended = 0;    // rad, by the typed distances
  double u_intended = 0;  // of making the moves, without the trust in the distance
  double forward_mm = 0;  // the moves themselves, positive when they turn the fence counter-clockwise
  double u_forward_mm = 0;
  double observed = 0;  // rad, later error - earlier error
  double u_observed = 0;
  double U_observed = 0;  // expanded
  MoveVerdict verdict = MoveVerdict::kCannotBeTold;
};

enum class Due { kMeasure, kMove, kNothing };

// The fence between two moves: the mean of the strips cut there.
struct State {
  FenceError fence;     // cutting scatter included
  int strips = 0;       // that it is the mean of
  double u_shared = 0;  // rad: the part of fence.u that is the same in every strip
};

struct RecordAnalysis {
  std::vector<State> states;  // one for each run of measurements without a move between them
  CutScatter scatter;         // of the strips about their fence
  std::vector<Step> steps;    // between the states: states.size() - 1, if that
  Response response;
  bool moved_since = false;  // there is a move after the last measurement
  // The error left is not larger than its uncertainty: another move would chase the measurement's noise.
  bool stop_here = false;
  Due due = Due::kMeasure;
};

// The cutting scatter is what the strips of a run differ by beyond their own uncertainties (excess_variance,
// pooled over the runs), averaged with the usual figure by degrees of freedom. A state is the random-effects
// mean of its strips, its uncertainty widened by the Birge ratio when they scatter more than that; what sheet
// and scanner share does not average out.
//
// Steps that went the wrong way are left out of the response, and those that did not move where they do not
// agree with the others. The rest go into one weighted
// least squares for the turn per millimetre of move; two steps share the measurement between them, and the
// weights know that. `tolerance` may be left out.
RecordAnalysis analyse_record(const std::vector<RecordEntry>& entries,
                              const std::optional<Tolerance>& tolerance = {});

// correction_move, with the distance of next_distance and its uncertainty in the move's; after a move that
// made the error worse, no larger than that one. Failures: those of correction_move, "distance-doubtful"
// (NextDistance::ask).
Result<FenceMove> next_move(const FenceError& error, const SledSetup& setup, const Response& response);

// What the record says in shop words, the last step first.
std::vector<std::string> describe_analysis(const RecordAnalysis& analysis, Units units);

// Which pivot distance the move is worked out with, and why.
std::string trust_in_distance(const Response& response, double typed_mm, Units units);

// "Your pivot distance seems to be 20.5 +/- 0.8 in, not 45 in." and what to do about it.
std::string ask_for_distance(const NextDistance& distance, double typed_mm, Units units);

// "a usual figure" or "from 5 strips of the record", and a sentence with the size.
std::string scatter_source(const CutScatter& scatter);
std::string scatter_words(const CutScatter& scatter, Units units);

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
