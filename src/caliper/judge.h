// Is the caliper to be believed? Its readings alone, and beside what the picture says.
#pragma once
#include <optional>
#include <vector>

#include "caliper/caliper_taper.h"
#include "caliper/suspects.h"

namespace tapersight {

// What the picture says of the same strip. Standard uncertainties.
struct PictureWidths {
  double fence_end_mm = 0;  // at the places where the caliper sat
  double far_end_mm = 0;
  double u_each_mm = 0;    // of one width against the other (edge noise, roughness)
  double u_common_mm = 0;  // shared by both (sheet's scale, strip's height over the sheet)
};
struct PictureTaper {
  double taper = 0;  // mm/mm, fence end wider = positive
  double u_taper = 0;
  double dof = kInfiniteDof;
  std::optional<PictureWidths> widths;
};

// What a picture gives for a whole strip: its taper, and its widths at its two very ends.
struct PictureStrip {
  double taper = 0, u_taper = 0;
  double dof = kInfiniteDof;
  double fence_end_width_mm = 0, far_end_width_mm = 0;
  double u_width_mm = 0;  // standard uncertainty of each width, mostly shared by both (scale)
  double length_mm = 0;   // of the strip
};
// The same at the places `readings_at_mm` inside the ends, where the caliper sat.
PictureTaper at_the_calipers_places(const PictureStrip& strip, double readings_at_mm);

// What can be the matter. Only the last two spoil the taper.
enum class CaliperFault {
  kZeroOff,          // the closed jaws do not read zero: both widths shift, the difference does not
  kScaleOff,         // a known block reads wrong by more than the zero: both widths off by a factor
  kSizeOff,          // both widths off alike, and nothing tells whether zero or scale
  kScattered,        // readings do not repeat: more of them help
  kDifferenceWrong,  // the difference disagrees with the picture's: not usable for this
};

enum class Agreement {
  kNotCompared,  // no picture
  kAgrees,
  kAgreesWeakly,  // within an interval so wide that agreement says little
  kDisagrees,
};

// One quantity that should be zero.
struct NullCheck {
  bool tested = false;
  double value = 0;
  double U = 0;    // at the side checks' level, which decides
  double U95 = 0;  // at kCaliperCoverage, as the other intervals
  bool found = false;
};

struct BestTaper {
  double taper = 0;
  CombinedUncertainty u;
  double U = 0;  // at kCaliperCoverage
  double picture_weight = 0;
};

struct JudgeOptions {
  // Level of the checks of zero, scale, size and scatter. Strict, because there are several of them: with E_n
  // and the outlier test together no more than about 5 % of sound calipers may be accused of anything.
  double side_level = 0.003;
  // Agreement is weak when the caliper's interval is so many times the picture's (3).
  double weak_ratio = 3;
  // A caliper whose readings scatter is not accused of a wrong difference below this |E_n|: more readings
  // first.
  double clear_disagreement = 1.5;
};

struct CaliperJudgement {
  CaliperSpec spec;             // with the resolution that was used
  Screening screening;          // what was left out, and what was kept (as read)
  CaliperTaper taper;           // from the readings kept, corrected where a fault was found and measured
  NullCheck zero_mm;            // mean reading of the closed jaws
  NullCheck scale;              // (block reading less zero) / size - 1
  NullCheck block_mm;           // block reading less size, when there is no zero to tell scale from offset
  NullCheck size_mm;            // mean of both widths less the picture's
  double scatter_limit_mm = 0;  // what the repeatability would have to exceed to be remarked on
  bool zero_corrected = false;
  bool scale_corrected = false;
  std::optional<PictureTaper> picture;
  std::optional<double>
      normalised_error;           // E_n of the tapers, expanded uncertainties (ISO/IEC 17043, ISO 13528)
  double U_picture = 0;           // of its taper, at kCaliperCoverage
  std::optional<BestTaper> best;  // weighted mean, only when they agree
  Agreement agreement = Agreement::kNotCompared;
  bool no_taper_seen = false;         // both intervals cover zero
  double smallest_fault_seen_mm = 0;  // a wrong difference of this size would be noticed 19 times in 20
  std::vector<CaliperFault> faults;   // gravest first; empty = nothing against this caliper
};

bool has_fault(const CaliperJudgement& judgement, CaliperFault fault);

// Failures: those of caliper_taper; caliper-block-size-missing; caliper-width-implausible (a strip narrower
// than 2 mm or wider than 250 mm, or 25.4 times off the picture: inches read as millimetres or the other way
// round).
Result<CaliperJudgement> judge_caliper(const CaliperReadings& readings, const CaliperSpec& spec,
                                       const std::optional<PictureTaper>& picture,
                                       const JudgeOptions& options = {});

// Coverage of the uncertainties in E_n: k = 2 for infinite degrees of freedom (ISO 13528), else t (JCGM
// 100:2008, G.2).
inline constexpr double kAgreementCoverage = 0.9545;

// E_n = (x - y) / sqrt(U_x^2 + U_y^2) with *expanded* uncertainties; |E_n| <= 1 is agreement.
double normalised_error(double x, double U_x, double y, double U_y);

// Mean weighted by 1/u^2 (ISO 13528-like consensus of two; GUM 5.1.2 for its uncertainty).
BestTaper weighted_mean(double x, const CombinedUncertainty& u_x, double picture,
                        const CombinedUncertainty& u_picture);

}  // namespace tapersight
