#include "assess/measurement_report.h"

#include <algorithm>
#include <cmath>

#include "assess/taper_words.h"
#include "fence/plausible.h"
#include "fence/steps.h"

namespace tapersight {
namespace {

struct Conclusion {
  FenceError of_strip, fence;
  double u_shared = 0;
  std::optional<FenceMove> move;
  ShopAdvice advice;
};

// What the next strip on the same sheet and scanner would have as well, and what a longer one makes smaller;
// both of the taper.
struct TaperParts {
  double u_shared = 0, u_length = 0;
  std::string shared;  // the largest of what is shared, in words
};

struct Question {
  const Taper& taper;
  TaperParts parts;
  const SledSetup& setup;
  const ShopWishes& wishes;
  Units units;
  PresentMeasurement present;
  double bow_taper = 0;  // how far the cut's own direction leaves the taper, at the strip's ends; 0: straight
};

Result<FenceError> error_of(const Question& question, ShopAdvice& advice) {
  if (!question.wishes.ring) return fence_error(question.taper, question.setup);
  if (const auto failure = validate(question.setup)) return *failure;
  const Result<RingError> ring = ring_error(question.taper, *question.wishes.ring);
  if (!ring) return ring.failure();
  advice.ring = *ring;
  return ring->fence;
}

RecordAdvice with_record(const RecordSoFar& record, const FenceError& of_strip, double u_shared,
                         const std::optional<Tolerance>& tolerance) {
  RecordAdvice advice;
  advice.entry = measurement_entry(of_strip, record.when, record.source, u_shared);
  advice.entry.note = record.note;
  advice.recorded_already = is_recorded(record.entries, advice.entry);
  std::vector<RecordEntry> entries = record.entries;
  if (!advice.recorded_already) entries.emplace_back(advice.entry);
  advice.analysis = analyse_record(entries, tolerance);
  return advice;
}

// From the strip to the fence: by this strip alone, or by the mean of those cut since the last move.
void judge_fence(const Question& question, Conclusion& conclusion, PresentMeasurement& present) {
  ShopAdvice& advice = conclusion.advice;
  const FenceError& strip = conclusion.of_strip;
  const double per_taper = question.taper.u > 0 ? strip.u / question.taper.u : 0;
  const double u_shared = std::min(question.parts.u_shared * per_taper, strip.u);
  if (question.wishes.record)
    advice.record = with_record(*question.wishes.record, strip, u_shared, question.wishes.tolerance);
  advice.scatter = advice.record ? advice.record->analysis.scatter : usual_cut_scatter();
  conclusion.fence = judged_by_one_cut(strip, advice.scatter);
  present.u_shared = conclusion.u_shared = u_shared;
  if (advice.record && !advice.record->analysis.moved_since) {
    const State& state = advice.record->analysis.states.back();
    conclusion.fence = state.fence;
    conclusion.fence.turns = strip.turns;
    advice.strips = state.strips;
    present.u_shared = state.u_shared;
  }
  const CombinedUncertainty own =
      combine({{std::sqrt(std::max(0.0, strip.u * strip.u - u_shared * u_shared)), strip.dof},
               {advice.scatter.sigma, advice.scatter.dof}});
  present.strips = advice.strips;
  present.u_own = own.u;
  present.dof_own = own.dof;
  present.u_length = std::min(question.parts.u_length * per_taper, own.u);
  present.shared = question.parts.shared;
}

// A bowed cut has not one direction but all of these: the error as found, and up to `turned` to either side
// of it. Do they decide differently? Where nothing is decided anyway: is that more than the uncertainty?
bool bow_matters(const FenceError& fence, double turned, const std::optional<Tolerance>& tolerance) {
  if (!(turned > 0)) return false;
  const double size = std::fabs(fence.theta);
  const double limit = tolerance ? tolerance->angle : 0;
  if (tolerance && size + fence.U <= limit) return size + turned + fence.U > limit;
  if (size - fence.U > limit) return size - turned - fence.U <= limit;
  return turned > fence.U;
}

std::optional<Failure> plan_move(const Question& question, Conclusion& conclusion) {
  ShopAdvice& advice = conclusion.advice;
  const double typed_mm = *question.setup.pivot_distance_mm;
  const Response response = advice.record ? advice.record->analysis.response : Response{};
  if (const NextDistance next = next_distance(response, typed_mm); next.ask) {
    advice.ask_distance = ask_for_distance(next, typed_mm, question.units);
    return std::nullopt;
  }
  const auto move = advice.record ? next_move(conclusion.fence, question.setup, response)
                                  : correction_move(conclusion.fence, question.setup);
  if (!move) return move.failure();
  if (!question.wishes.even_so)
    if (const auto failure = doubt_move(*move, question.units)) return *failure;
  conclusion.move = *move;
  const auto adjustment = plan_adjustment(*move, question.wishes.means, question.units);
  if (!adjustment) return adjustment.failure();
  StepsInput input;
  input.setup = question.setup;
  input.error = conclusion.fence;
  input.move = *move;
  input.by = question.wishes.means.by;
  input.by_lines = describe_adjustment(*adjustment, question.units);
  if (advice.decision) input.verdict = advice.decision->verdict;
  if (advice.record) input.see_to_first = see_to_first(advice.record->analysis);
  input.can_be_made = adjustment->made_mm() > 0;
  input.bowed = advice.bowed;
  input.ring = question.wishes.ring.has_value();
  input.units = question.units;
  advice.steps = adjustment_steps(input);
  if (is_to_be_moved(input)) advice.adjustment = *adjustment;
  return std::nullopt;
}

Result<Conclusion> conclusion_of(const Question& question) {
  Conclusion conclusion;
  ShopAdvice& advice = conclusion.advice;
  const Result<FenceError> fence = error_of(question, advice);
  if (!fence) return fence.failure();
  if (!question.wishes.even_so)
    if (const auto failure = doubt_error(*fence)) return *failure;
  conclusion.of_strip = *fence;
  const ShopWishes& wishes = question.wishes;
  PresentMeasurement present = question.present;
  judge_fence(question, conclusion, present);
  const double turned = std::fabs(question.bow_taper) / question.setup.turns;
  advice.bowed = bow_matters(conclusion.fence, turned, wishes.tolerance);
  if (wishes.tolerance) advice.decision = decide(conclusion.fence, *wishes.tolerance, present);
  if (advice.bowed && advice.decision && advice.decision->verdict == Verdict::kSquare)
    advice.decision = SquarenessDecision{Verdict::kCannotBeTold, wishes.tolerance->angle, WhatWouldSettle{}};
  if (!question.setup.pivot_distance_mm) return conclusion;
  if (const auto failure = plan_move(question, conclusion)) return *failure;
  return conclusion;
}

// Rows that the next strip has anew; all others, known here or not, are taken to be shared.
bool is_of_the_strip(const BudgetRow& row) {
  for (const char* own :
       {"edges", "figure", "line-beside", "edge-doubled", "rival", "bow", "pictures", "strip"})
    if (row.source == own) return true;
  return false;
}

TaperParts parts_of(const std::vector<BudgetRow>& budget) {
  TaperParts parts;
  double largest = 0;
  for (const BudgetRow& row : budget) {
    if (row.source == "edges" || row.source == "figure" || row.source == "strip")
      parts.u_length = std::hypot(parts.u_length, row.u);
    if (is_of_the_strip(row)) continue;
    parts.u_shared = std::hypot(parts.u_shared, row.u);
    if (row.u > largest) parts.shared = row.text;
    largest = std::max(largest, row.u);
  }
  return parts;
}

// By how much a bowed cut's direction at its ends differs from the straight line's: 4 bow / length for each
// edge, as far as the two do not run alongside each other. 0 when no bow is seen.
double taper_of_bow(const StripMeasurement& strip) {
  if (!is_bowed(strip.edges[0]) && !is_bowed(strip.edges[1])) return 0;
  const double a = strip.edges[0].bow_mm, b = strip.edges[1].bow_mm;
  return 4 * std::max({std::fabs(a), std::fabs(b), std::fabs(a + b)}) / strip.length_mm();
}

}  // namespace

MeasuredFrom measured_from(const MeasurementReport& report) {
  return report.wishes.ring ? MeasuredFrom::kRing : MeasuredFrom::kPicture;
}

MeasuredFrom measured_from(const WidthsReport& report) {
  return report.wishes.ring ? MeasuredFrom::kRing : MeasuredFrom::kCaliper;
}

void conclude(MeasurementReport& report) {
  if (!report.measurement) return;
  const StripMeasurement& strip = report.measurement->strip;
  PresentMeasurement present;
  present.from = measured_from(report);
  present.length_power = strip.length_power;
  if (!report.wishes.ring) present.strip_length_mm = strip.length_mm();
  const Taper taper{strip.taper, strip.u_taper, strip.dof};
  const auto conclusion = conclusion_of({taper, parts_of(strip.budget), report.setup, report.wishes,
                                         report.units, present, taper_of_bow(strip)});
  if (!conclusion) {
    report.measurement = conclusion.failure();
    return;
  }
  report.of_strip = conclusion->of_strip;
  report.u_shared = conclusion->u_shared;
  report.fence = conclusion->fence;
  report.move = conclusion->move;
  report.advice = conclusion->advice;
}

Result<WidthsReport> conclude(WidthsReport report) {
  const Result<Taper> taper = report.gap ? taper_of_gap(*report.gap) : taper_from_widths(report.widths);
  if (!taper) return taper.failure();
  PresentMeasurement present;
  present.from = measured_from(report);
  if (!report.wishes.ring) present.strip_length_mm = report.widths.apart_mm;
  TaperParts parts;  // a caliper's readings are taken anew for every strip
  parts.u_length = taper->u;
  const auto conclusion =
      conclusion_of({*taper, parts, report.setup, report.wishes, report.units, present, 0});
  if (!conclusion) return conclusion.failure();
  report.taper = *taper;
  report.of_strip = conclusion->of_strip;
  report.fence = conclusion->fence;
  report.move = conclusion->move;
  report.advice = conclusion->advice;
  return report;
}

std::optional<Failure> check_ends(const MeasurementReport& report) {
  if (!report.measurement) return std::nullopt;
  const StripMeasurement& strip = report.measurement->strip;
  const bool known = std::abs(strip.taper) > t_factor(kCoverage, strip.dof) * strip.u_taper;
  const bool fence_wider = strip.taper > 0;
  if (report.wider && known && fence_wider != (*report.wider == WiderEnd::kFenceEnd)) {
    const char* names[] = {"far end", "fence end"};
    return Failure{
        "wider-end-differs",
        "You found the " + std::string(names[fence_wider ? 0 : 1]) + " wider. The picture shows the " +
            names[fence_wider ? 1 : 0] + " wider, by " +
            fine_length_text(std::abs(strip.taper) * strip.length_mm(), strip.u_taper * strip.length_mm(),
                             report.units) +
            ".",
        "Lay the strip with the end that touched the fence at FENCE END, and scan it again. Read the "
        "caliper again if it lies so already."};
  }
  if (report.cut_corner == CutCorner::kFenceEnd && !report.wider)
    return Failure{
        "cut-corner-at-fence-end",
        "The strip's cut corner lies at FENCE END. You cut it off the far end, so the strip lies the wrong "
        "way round.",
        "Turn the strip end for end and scan it again. If that corner only broke off, say which end is "
        "wider: --wider fence-end or --wider far-end."};
  return std::nullopt;
}

std::optional<Failure> check_same_strip(const PictureMeasurement& first, const PictureMeasurement& other,
                                        Units units) {
  const bool scans = first.kind == PictureKind::kScan && other.kind == PictureKind::kScan;
  const auto differ = [&](double a, double b) {
    return std::abs(a - b) > (scans ? 0.02 : 0.1) * std::max(a, b);
  };
  const auto told = [&](const char* what, double a, double b) {
    return Failure{"another-strip",
                   "It shows a different strip from the first picture: " + length_text(b, units) + what +
                       " instead of " + length_text(a, units) + ".",
                   "Name pictures of one strip only; measure another strip by itself."};
  };
  if (differ(first.strip.length_mm(), other.strip.length_mm()))
    return told(" long", first.strip.length_mm(), other.strip.length_mm());
  if (differ(first.strip.mean_width_mm(), other.strip.mean_width_mm()))
    return told(" wide", first.strip.mean_width_mm(), other.strip.mean_width_mm());
  return std::nullopt;
}

void combine_into(MeasurementReport& report, const std::vector<ShownTaper>& pictures) {
  if (!report.measurement) return;
  const auto combined = combine_pictures(pictures);
  if (!combined) {
    Failure failure = combined.failure();
    failure.text += " " + each_words(report, pictures);
    report.measurement = std::move(failure);
    return;
  }
  report.combined = *combined;
  PictureMeasurement& m = *report.measurement;
  m.strip.taper = combined->taper;
  m.strip.u_taper = combined->u;
  m.strip.dof = combined->dof;
  const auto row = [&](const char* source, const UncertaintyPart& part, const char* text) {
    if (part.u > 0) m.strip.budget.push_back({source, part.u, part.dof, text});
  };
  m.strip.budget.clear();
  row("pictures", combined->of_pictures, "noise of the pictures, widened by their scatter when it is larger");
  row("strip", combined->of_strip,
      "what is the same in every picture: the sawn edges' roughness, the wood's figure, the print's scale");
  row("scanner", combined->of_instrument, "the scanner's own scale, changing along the strip");
  row("reversal", combined->of_reversal, "turning the strip shows more than the pictures leave room for");
  if (combined->reversal_doubtful)
    m.warnings.push_back(
        {"reversal-doubtful",
         "Turning the strip end for end shows a larger error of the scanner or camera than the "
         "pictures leave room for. Was it really turned? The interval is widened for that."});
  if (!combined->consistent)
    m.warnings.push_back(
        {"pictures-scatter",
         "The pictures disagree by more than their uncertainties allow, so the interval is wider. Check "
         "whether one of them shows another strip, or the strip the other way round."});
}

}  // namespace tapersight
