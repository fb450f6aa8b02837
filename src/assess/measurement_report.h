// Everything that is known at the end of one measurement: what text, JSON and overlay are made from.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "caliper/judge.h"
#include "fence/adjustment.h"
#include "fence/fence_error.h"
#include "fence/ring.h"
#include "fence/sled_setup.h"
#include "fence/tolerance.h"
#include "formats/format.h"
#include "pipeline/cut_corner.h"
#include "pipeline/measure_picture.h"
#include "record/response.h"
#include "taper/combine_pictures.h"

namespace tapersight {

struct PictureFacts {
  std::string file;                    // as the person typed it
  int width_px = 0, height_px = 0;     //
  std::optional<double> dpi_u, dpi_v;  // pixels per inch that the file states
};

// One more picture of the same strip.
struct FurtherPicture {
  std::string file;       // as the person typed it
  bool reversed = false;  // the strip lies turned end for end
};

// The record of the sled as it was before this measurement.
struct RecordSoFar {
  std::string sled;  // its name
  std::vector<RecordEntry> entries;
  int damaged_lines = 0;
  std::string when, source;  // of the entry that this measurement will be
  std::string note;          // that goes with it
};

// What is wanted beyond the fence's error itself.
struct ShopWishes {
  std::optional<RingSetup> ring;  // a ring's closing gap was measured, or the strip that fits into it
  std::optional<Tolerance> tolerance;
  AdjustMeans means;
  std::optional<RecordSoFar> record;  // how the fence answered before goes into the move
  bool even_so = false;               // an error or a move that no fence has is believed
};

struct RecordAdvice {
  MeasurementEntry entry;         // this measurement
  bool recorded_already = false;  // it stands in the record, and counts once
  RecordAnalysis analysis;        // with it
};

struct ShopAdvice {
  std::optional<RingError> ring;
  std::optional<SquarenessDecision> decision;  // set when a tolerance was given
  // An edge is bowed so far that the decision depends on which part of the cut is asked: no one angle
  // describes it, and nothing is called square.
  bool bowed = false;
  std::optional<RecordAdvice> record;
  CutScatter scatter;  // that `fence` was judged with
  int strips = 1;      // whose mean `fence` is: this one and those of the record cut since the last move
  std::string ask_distance;  // why no move is told, when the record doubts the typed pivot distance
  // The next two are for a known pivot distance.
  std::optional<Adjustment> adjustment;  // unset when the fence is to be left alone
  std::vector<std::string> steps;        // the procedure, not numbered

  // Within the tolerance with its whole uncertainty: nothing is to be done.
  bool is_square() const { return !bowed && decision && decision->verdict == Verdict::kSquare; }
};

// Which end the person found wider, by caliper or by eye.
enum class WiderEnd { kFenceEnd, kFarEnd };

// A picture's measurement, or why there is none. `fence` is set whenever `measurement` holds a value, `move`
// when the set-up has a pivot distance as well.
struct MeasurementReport {
  std::string program_version;
  PictureFacts picture;
  std::vector<FurtherPicture> further;
  ReadOptions reading;
  PictureOptions options;
  SledSetup setup;
  Units units = Units::kInch;  // what a person reads; JSON is always in mm and rad
  Result<PictureMeasurement> measurement =
      Failure{"not-measured", "Nothing was measured.", "Measure a picture first."};
  std::optional<CombinedTaper> combined;  // of several pictures; the taper of `measurement` is then this one
  std::optional<FenceError> of_strip;     // what this strip shows, by itself
  double u_shared = 0;                    // rad: the part of its u that the next strip would have as well
  std::optional<FenceError> fence;  // the fence's error, as the cuts show it: decisions are made by this one
  std::optional<FenceMove> move;
  CutCorner cut_corner = CutCorner::kNone;
  bool fence_end_assumed = false;           // without a sheet, and nobody said where the fence end lies
  std::optional<WiderEnd> wider;            // as the person says
  std::optional<CaliperJudgement> caliper;  // when the same strip was read with a caliper as well
  ShopWishes wishes;
  ShopAdvice advice;
};

// Two widths read with a caliper, and what follows from them.
struct WidthsReport {
  std::string program_version;
  TwoWidths widths;
  std::optional<ClosingGap> gap;  // measured instead of the widths; needs wishes.ring
  SledSetup setup;
  Units units = Units::kInch;
  Taper taper;
  FenceError of_strip;  // as in MeasurementReport
  FenceError fence;
  std::optional<FenceMove> move;
  ShopWishes wishes;
  ShopAdvice advice;
};

MeasuredFrom measured_from(const MeasurementReport& report);
MeasuredFrom measured_from(const WidthsReport& report);

// Two pictures whose strips cannot be the same one, by length or width: failure "another-strip". Sizes of
// scans with a sheet agree to 2 %, of photos to 10 %, for the strip's thickness shows in them.
std::optional<Failure> check_same_strip(const PictureMeasurement& first, const PictureMeasurement& other,
                                        Units units);

// Several pictures of one strip, the report's own first: puts the combined taper into the report.
void combine_into(MeasurementReport& report, const std::vector<ShownTaper>& pictures);

// Is the end that is taken as the fence end the one that the person means? Failures: "wider-end-differs",
// when the person found the other end wider than the picture shows beyond its uncertainty;
// "cut-corner-at-fence-end", when the strip's cut corner lies there and nothing was said of its ends.
std::optional<Failure> check_ends(const MeasurementReport& report);

// Works out the fence's error, the decision, the move and the procedure from the measured taper. A taper that
// no fence makes
// ("taper-implausible") turns the measurement into that failure.
void conclude(MeasurementReport& report);

// The same for typed widths; `report` holds widths and setup. Failures: those of taper_from_widths,
// taper_of_gap, fence_error, ring_error, next_move and plan_adjustment.
Result<WidthsReport> conclude(WidthsReport report);

}  // namespace tapersight
