#include "caliper/judge.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "base/units.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

struct Mean {
  double value = 0;
  CombinedUncertainty u;
};

// A single reading has no scatter of its own: the expected one stands in for it.
Mean mean_reading(const std::vector<double>& values, const CaliperSpec& spec) {
  const auto n = static_cast<double>(values.size());
  const bool alone = values.size() < 2;
  const double s = alone ? spec.expected_scatter_mm : standard_deviation(values);
  return {mean(values),
          combine({{s / std::sqrt(n), alone ? kInfiniteDof : n - 1}, {u_rounding(spec.resolution_mm, s)}})};
}

NullCheck null_check(double value, const CombinedUncertainty& u, double level) {
  NullCheck check;
  check.tested = true;
  check.value = value;
  check.U = t_factor(1 - level, u.dof) * u.u;
  check.U95 = t_factor(kCaliperCoverage, u.dof) * u.u;
  check.found = std::abs(value) > check.U;
  return check;
}

// Zero from the closed jaws; scale from the block, or, without a zero, only that the block reads wrong.
void check_zero_and_block(const CaliperReadings& kept, double level, CaliperJudgement& out) {
  Mean zero;
  const bool has_zero = !kept.closed_jaws_mm.empty();
  if (has_zero) {
    zero = mean_reading(kept.closed_jaws_mm, out.spec);
    out.zero_mm = null_check(zero.value, zero.u, level);
  }
  if (kept.block_mm.empty()) return;
  const Mean block = mean_reading(kept.block_mm, out.spec);
  const CombinedUncertainty u = combine({{block.u.u, block.u.dof},
                                         {zero.u.u, zero.u.dof},
                                         {kept.u_block_size_mm},
                                         {out.spec.limit_of_error_mm / std::sqrt(3.0)}});
  const double excess_mm = block.value - zero.value - kept.block_size_mm;
  if (!has_zero) {
    out.block_mm = null_check(excess_mm, u, level);
    return;
  }
  out.scale = null_check(excess_mm / kept.block_size_mm, {u.u / kept.block_size_mm, u.dof}, level);
}

// Recognised effects are corrected (JCGM 100:2008, 3.2.4), but only when they were measured and found.
CaliperReadings corrected(const CaliperReadings& kept, CaliperJudgement& out) {
  CaliperReadings result = kept;
  out.zero_corrected = out.zero_mm.found;
  out.scale_corrected = out.scale.found;
  const double zero = out.zero_corrected ? out.zero_mm.value : 0;
  const double scale = out.scale_corrected ? 1 + out.scale.value : 1;
  for (auto* values : {&result.fence_end_mm, &result.far_end_mm})
    for (double& value : *values) value = (value - zero) / scale;
  return result;
}

// Mean of both widths beside the picture's. Half the difference's variance parts are the mean's.
void check_size(const PictureWidths& widths, double level, CaliperJudgement& out) {
  const CaliperTaper& taper = out.taper;
  const double caliper = (taper.fence_end.mean_mm + taper.far_end.mean_mm) / 2;
  const double picture = (widths.fence_end_mm + widths.far_end_mm) / 2;
  const double zero_known = out.zero_corrected ? out.zero_mm.U / t_factor(1 - level, kInfiniteDof) : 0;
  const CombinedUncertainty u = combine({{taper.u_difference.u / 2, taper.u_difference.dof},
                                         {zero_known},
                                         {widths.u_each_mm / std::sqrt(2.0)},
                                         {widths.u_common_mm}});
  out.size_mm = null_check(caliper - picture, u, level);
}

void compare(const PictureTaper& picture, double distance_mm, const JudgeOptions& options,
             CaliperJudgement& out) {
  const CaliperTaper& taper = out.taper;
  out.picture = picture;
  out.U_picture = t_factor(kCaliperCoverage, picture.dof) * picture.u_taper;
  const double U_caliper = t_factor(kAgreementCoverage, taper.u_taper.dof) * taper.u_taper.u;
  const double U_picture = t_factor(kAgreementCoverage, picture.dof) * picture.u_taper;
  out.normalised_error = normalised_error(taper.taper, U_caliper, picture.taper, U_picture);
  out.no_taper_seen = std::abs(taper.taper) <= taper.U_taper && std::abs(picture.taper) <= out.U_picture;
  if (std::abs(*out.normalised_error) > 1) {
    out.agreement = Agreement::kDisagrees;
  } else {
    out.agreement =
        taper.U_taper > options.weak_ratio * out.U_picture ? Agreement::kAgreesWeakly : Agreement::kAgrees;
    out.best = weighted_mean(taper.taper, taper.u_taper, picture.taper, {picture.u_taper, picture.dof});
  }
  // At twice the limit of E_n the chance of missing it is that of one more limit's width: about 3 %.
  out.smallest_fault_seen_mm = 2 * std::hypot(U_caliper, U_picture) * distance_mm;
  if (picture.widths) check_size(*picture.widths, options.side_level, out);
}

void collect_faults(const JudgeOptions& options, CaliperJudgement& out) {
  const Repeatability& repeat = out.taper.repeatability;
  const double expected = std::max(out.spec.expected_scatter_mm, out.spec.resolution_mm / 2);
  out.scatter_limit_mm =
      expected * std::sqrt(chi_squared_quantile(1 - options.side_level, repeat.dof) / repeat.dof);
  const bool scattered = repeat.s_mm > out.scatter_limit_mm;
  const double E_n_limit = scattered ? options.clear_disagreement : 1;
  if (out.normalised_error && std::abs(*out.normalised_error) > E_n_limit)
    out.faults.push_back(CaliperFault::kDifferenceWrong);
  if (scattered) out.faults.push_back(CaliperFault::kScattered);
  if (out.scale.found) out.faults.push_back(CaliperFault::kScaleOff);
  if (out.zero_mm.found) out.faults.push_back(CaliperFault::kZeroOff);
  // With zero and block both measured and right, a size that differs is the picture's affair, not the
  // caliper's.
  const bool size_is_the_calipers = !(out.zero_mm.tested && out.scale.tested);
  if (out.block_mm.found || (out.size_mm.found && size_is_the_calipers))
    out.faults.push_back(CaliperFault::kSizeOff);
}

// All readings in the wrong unit, or with the decimal point slipped in all of them, agree with one another;
// only their size gives them away. A picture tells widths to a tenth, and no test strip is twice as wide at
// one end as at the other.
std::optional<Failure> implausible(const CaliperTaper& taper, const std::optional<PictureTaper>& picture) {
  constexpr double kNarrowest_mm = kMmPerInch / 8, kWidest_mm = 4 * kMmPerInch;
  constexpr double kMostRatio = 2;
  const double fence = taper.fence_end.mean_mm, far = taper.far_end.mean_mm;
  const double width_mm = (fence + far) / 2;
  const double between = std::max(fence, far) / std::max(std::min(fence, far), 1e-9);
  std::string why;
  if (picture && picture->widths) {
    const double ratio = width_mm / ((picture->widths->fence_end_mm + picture->widths->far_end_mm) / 2);
    if (ratio > kMostRatio || ratio < 1 / kMostRatio)
      why = "which is " + fixed(ratio, ratio < 1 ? 3 : 1) + " times the width in the picture.";
  }
  if (why.empty() && (width_mm < kNarrowest_mm || width_mm > kWidest_mm)) why = "which no test strip is.";
  if (why.empty() && between > kMostRatio)
    return Failure{"caliper-width-implausible",
                   "The readings make one end " + fixed(between, 1) + " times as wide as the other.",
                   "Look for a decimal point that slipped, or for another unit at one end."};
  if (why.empty()) return std::nullopt;
  return Failure{"caliper-width-implausible",
                 "The readings make the strip " + fixed(width_mm, 2) + " mm (" +
                     fixed(width_mm / kMmPerInch, 3) + " in) wide, " + why,
                 "Check the unit and the decimal point: write 0.571 in or 14.50 mm, each with its unit."};
}

}  // namespace

PictureTaper at_the_calipers_places(const PictureStrip& strip, double readings_at_mm) {
  const double half_apart_mm = strip.length_mm / 2 - readings_at_mm;
  const double middle_mm = (strip.fence_end_width_mm + strip.far_end_width_mm) / 2;
  PictureWidths widths;
  widths.fence_end_mm = middle_mm + strip.taper * half_apart_mm;
  widths.far_end_mm = middle_mm - strip.taper * half_apart_mm;
  // A taper's uncertainty is that of two independent width errors root two smaller than their difference's.
  widths.u_each_mm = std::sqrt(2.0) * half_apart_mm * strip.u_taper;
  widths.u_common_mm = strip.u_width_mm;
  return {strip.taper, strip.u_taper, strip.dof, widths};
}

bool has_fault(const CaliperJudgement& judgement, CaliperFault fault) {
  return std::find(judgement.faults.begin(), judgement.faults.end(), fault) != judgement.faults.end();
}

double normalised_error(double x, double U_x, double y, double U_y) {
  return (x - y) / std::hypot(U_x, U_y);
}

BestTaper weighted_mean(double x, const CombinedUncertainty& u_x, double picture,
                        const CombinedUncertainty& u_picture) {
  const double w_x = 1 / (u_x.u * u_x.u);
  const double w_picture = 1 / (u_picture.u * u_picture.u);
  BestTaper best;
  best.picture_weight = w_picture / (w_x + w_picture);
  best.taper = x + best.picture_weight * (picture - x);
  best.u = combine(
      {{(1 - best.picture_weight) * u_x.u, u_x.dof}, {best.picture_weight * u_picture.u, u_picture.dof}});
  best.U = t_factor(kCaliperCoverage, best.u.dof) * best.u.u;
  return best;
}

Result<CaliperJudgement> judge_caliper(const CaliperReadings& readings, const CaliperSpec& spec,
                                       const std::optional<PictureTaper>& picture,
                                       const JudgeOptions& options) {
  if (!readings.block_mm.empty() && !(readings.block_size_mm > 0))
    return Failure{"caliper-block-size-missing",
                   "Readings of a block are given, but not how long the block is.",
                   "Give the block's true size, as marked on it."};
  CaliperJudgement judgement;
  judgement.spec = spec;
  if (!(spec.resolution_mm > 0)) judgement.spec.resolution_mm = inferred_resolution(readings);
  judgement.screening = screen_readings(readings, judgement.spec.resolution_mm);
  check_zero_and_block(judgement.screening.kept, options.side_level, judgement);
  auto taper = caliper_taper(corrected(judgement.screening.kept, judgement), judgement.spec);
  if (!taper) return taper.failure();
  judgement.taper = *taper;
  if (const auto failure = implausible(*taper, picture)) return *failure;
  if (picture) compare(*picture, readings.distance_mm, options, judgement);
  collect_faults(options, judgement);
  return judgement;
}

}  // namespace tapersight
