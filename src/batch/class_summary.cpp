#include "batch/class_summary.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

#include "base/text.h"
#include "fence/describe.h"
#include "numeric/descriptive.h"
#include "numeric/student_t.h"
#include "report/lines.h"

namespace tapersight {
namespace {

constexpr double kSideCoverage = 0.997;  // of what accuses a caliper, as caliper/judge.h has it
constexpr std::size_t kLeastForAll = 3;  // benches, to say "for everybody"

bool counts(const ClassResult& r) {
  return r.measured && r.bench && !r.twice;
}

std::string named(const ClassResult& r) {
  std::string name = r.bench ? "Bench " + std::to_string(*r.bench) : r.picture;
  if (!r.student.empty()) name += " (" + r.student + ")";
  if (!r.bench && r.strip > 0) name += ", strip " + std::to_string(r.strip);
  return r.group.empty() ? name : r.group + ", " + name;
}

std::string with_U(const ClassResult& r, double error) {
  return r.units == Units::kInch ? per_inch_with_uncertainty(error, r.error_U)
                                 : mm_per_m_with_uncertainty(error, r.error_U);
}

std::string error_text(const ClassResult& r) {
  return with_U(r, r.error);
}

std::string error_text(double rad, Units units) {
  return units == Units::kInch ? fixed(rad, 6) + " in per inch" : fixed(1000 * rad, 3) + " mm/m";
}

std::string adjust_sentence(const ClassResult& r) {
  if (!r.move_mm)
    return "the fence is turned " +
           (r.sense == "clockwise" ? std::string("clockwise") : "counter-clockwise") + " by " +
           with_U(r, std::abs(r.error)) + "; with the pivot distance in the roster the move would be told.";
  return "move the " + r.move_end + " end of the fence " +
         length_with_uncertainty(*r.move_mm, r.move_U_mm.value_or(0), r.units) + " " +
         (r.move_toward == "operator" ? "toward the operator" : r.move_toward) + "." +
         (r.sense_known ? "" : " Its direction is a guess: measure a longer strip first.");
}

std::string again_sentence(const ClassResult& r) {
  if (!r.measured) return r.reason ? r.reason->text + " " + r.reason->remedy : "not measured.";
  std::string text = "it cannot be told whether the fence is within " + r.tolerance + ": its error is " +
                     error_text(r) + ". ";
  if (r.settled_by_length_mm)
    return text + "Cut a strip of " + length_text(*r.settled_by_length_mm, r.units, 1, 0) +
           " or more, or take the mean of several strips.";
  return text + "Take the mean of several strips, cut anew.";
}

// By bench; what would be said twice is said once.
std::vector<std::string> sentences(const std::vector<ClassResult>& results, Todo todo) {
  std::vector<const ClassResult*> chosen;
  for (const ClassResult& r : results)
    if (r.todo() == todo) chosen.push_back(&r);
  std::stable_sort(chosen.begin(), chosen.end(), [](const ClassResult* a, const ClassResult* b) {
    return std::tie(a->group, a->bench) < std::tie(b->group, b->bench);
  });
  std::vector<std::string> all;
  for (const ClassResult* r : chosen) {
    const std::string sentence = named(*r) + ": " + result_sentence(*r);
    if (std::find(all.begin(), all.end(), sentence) == all.end()) all.push_back(sentence);
  }
  return all;
}

std::string list_of(const std::vector<int>& numbers) {
  std::string list;
  for (const int n : numbers) list += (list.empty() ? "" : ", ") + std::to_string(n);
  return list;
}

std::string counted(std::size_t n, const std::string& thing) {
  const bool hisses = !thing.empty() && thing.back() == 'h';
  return std::to_string(n) + " " + thing + (n == 1 ? "" : hisses ? "es" : "s");
}

std::vector<std::string> spread_sentences(const std::vector<ClassResult>& results, Units units) {
  const auto spread = class_spread(results);
  if (!spread) return {};
  std::vector<std::string> lines;
  lines.push_back(
      "The fences of " + counted(static_cast<std::size_t>(spread->benches), "bench") + " are out by " +
      error_text(spread->mean, units) + " on the average, counter-clockwise positive" +
      (spread->benches > 1 ? ", with a standard deviation of " + error_text(spread->standard_deviation, units)
                           : std::string()) +
      ".");
  if (spread->benches == 1) return lines;
  lines.push_back("From " + error_text(spread->smallest, units) + " (bench " +
                  std::to_string(spread->smallest_bench) + ") to " + error_text(spread->largest, units) +
                  " (bench " + std::to_string(spread->largest_bench) + ").");
  return lines;
}

std::vector<std::string> bow_sentences(const std::vector<ClassResult>& results, Units units) {
  std::vector<std::string> lines;
  for (const ClassResult& r : results) {
    if (!counts(r) || !r.bowed) continue;
    const double bow = std::abs(r.bow_mm[0]) > std::abs(r.bow_mm[1]) ? r.bow_mm[0] : r.bow_mm[1];
    lines.push_back(named(r) + ": an edge is " + (bow > 0 ? "bulged" : "hollow") + " by " +
                    length_text(std::abs(bow), units, 4, 3) +
                    "; check that fence with a straightedge before believing its angle.");
  }
  return lines;
}

std::vector<std::string> caliper_sentences(const std::vector<ClassResult>& results, Units units) {
  const auto caliper = class_caliper(results);
  if (!caliper) return {};
  std::vector<std::string> lines;
  const std::string of = " at " + counted(static_cast<std::size_t>(caliper->benches), "bench");
  if (caliper->size_off)
    lines.push_back("It reads " + length_text(std::abs(*caliper->size_mm), units) + " too " +
                    (*caliper->size_mm > 0 ? "wide" : "narrow") + " for everybody (the mean" + of +
                    "): see to its zero; the tapers do not suffer from that.");
  if (caliper->taper_off)
    lines.push_back("Its tapers are off the same way for everybody, by " +
                    error_text(caliper->taper_difference, units) + of +
                    ": do not use it for this until it was checked with a gauge block at both ends of its "
                    "range.");
  if (!caliper->disagreeing.empty())
    lines.push_back("It disagrees with the picture at bench " + list_of(caliper->disagreeing) +
                    (caliper->taper_off ? "." : ": read those strips again."));
  if (lines.empty()) lines.push_back("It agrees with the pictures" + of + ".");
  return lines;
}

std::vector<std::string> opening(const std::vector<ClassResult>& results, const ClassNotes& notes) {
  std::size_t strips = 0, measured = 0;
  for (const ClassResult& r : results) {
    strips += r.strip > 0;
    measured += r.measured;
  }
  std::vector<std::string> lines;
  lines.push_back(counted(static_cast<std::size_t>(notes.pictures_done), "picture") + ", " +
                  counted(strips, "strip") + ", " + std::to_string(measured) + " measured.");
  if (notes.pictures_done < notes.pictures)
    lines.push_back("Stopped with " + std::to_string(notes.pictures - notes.pictures_done) +
                    " pictures not looked at: go on with --resume.");
  for (const std::string& column : notes.unused_columns)
    lines.push_back("The roster's column \"" + column + "\" is not used.");
  return lines;
}

}  // namespace

std::optional<ClassSpread> class_spread(const std::vector<ClassResult>& results) {
  std::vector<double> errors;
  ClassSpread spread;
  for (const ClassResult& r : results) {
    if (!counts(r)) continue;
    if (errors.empty() || r.error < spread.smallest) {
      spread.smallest = r.error;
      spread.smallest_bench = *r.bench;
    }
    if (errors.empty() || r.error > spread.largest) {
      spread.largest = r.error;
      spread.largest_bench = *r.bench;
    }
    errors.push_back(r.error);
  }
  if (errors.empty()) return std::nullopt;
  spread.benches = static_cast<int>(errors.size());
  spread.mean = mean(errors);
  if (errors.size() > 1) spread.standard_deviation = standard_deviation(errors);
  return spread;
}

std::optional<ClassCaliper> class_caliper(const std::vector<ClassResult>& results) {
  ClassCaliper all;
  std::vector<double> sizes, size_U;
  double weights = 0, weighted = 0, chi_squared = 0;
  std::vector<const CaliperFinding*> findings;
  for (const ClassResult& r : results) {
    if (!counts(r) || !r.caliper) continue;
    findings.push_back(&*r.caliper);
    if (r.caliper->disagrees) all.disagreeing.push_back(*r.bench);
    if (r.caliper->size_mm) {
      sizes.push_back(*r.caliper->size_mm);
      size_U.push_back(r.caliper->U_size_mm.value_or(0));
    }
    const double w = 1 / (r.caliper->u_taper_difference * r.caliper->u_taper_difference);
    weights += w;
    weighted += w * r.caliper->taper_difference;
  }
  if (findings.empty()) return std::nullopt;
  all.benches = static_cast<int>(findings.size());
  all.taper_difference = weighted / weights;
  for (const CaliperFinding* f : findings)
    chi_squared += std::pow((f->taper_difference - all.taper_difference) / f->u_taper_difference, 2);
  const auto dof = static_cast<double>(findings.size() - 1);
  // Birge's ratio widens the mean's uncertainty when the benches scatter more than they should.
  const double birge = dof > 0 ? std::sqrt(std::max(1.0, chi_squared / dof)) : 1;
  all.U_taper_difference = t_factor(kSideCoverage, dof > 0 ? dof : kInfiniteDof) * birge / std::sqrt(weights);
  all.taper_off = findings.size() >= kLeastForAll && std::abs(all.taper_difference) > all.U_taper_difference;
  if (sizes.empty()) return all;
  all.size_mm = mean(sizes);
  all.U_size_mm = mean(size_U);
  all.size_off = sizes.size() >= kLeastForAll && std::abs(*all.size_mm) > all.U_size_mm;
  return all;
}

std::string result_sentence(const ClassResult& r) {
  if (r.twice)
    return "there is more than one strip of this bench (" + r.picture + "): take one of them away.";
  switch (r.todo()) {
    case Todo::kAdjust:
      return adjust_sentence(r);
    case Todo::kLeaveAlone:
      return (r.verdict.empty() ? "no error can be told" : "square within " + r.tolerance) + " (" +
             error_text(r) + ").";
    case Todo::kMeasureAgain:
      return again_sentence(r);
    case Todo::kReported:
      break;
  }
  return r.reason ? r.reason->text + " " + r.reason->remedy : "nothing tells whose it is.";
}

std::vector<int> missing_benches(const std::vector<ClassResult>& results,
                                 const std::vector<int>& all_benches) {
  std::set<int> seen;
  for (const ClassResult& r : results)
    if (r.bench) seen.insert(*r.bench);
  std::vector<int> missing;
  for (const int bench : all_benches)
    if (seen.count(bench) == 0) missing.push_back(bench);
  return missing;
}

bool all_measured(const std::vector<ClassResult>& results, const ClassNotes& notes) {
  return notes.pictures_done == notes.pictures &&
         std::all_of(results.begin(), results.end(), [](const ClassResult& r) { return counts(r); });
}

std::string class_text(const std::vector<ClassResult>& results, const ClassNotes& notes, Units units) {
  std::string out = "The class\n";
  for (const std::string& line : opening(results, notes)) put(out, "  ", line);
  const auto adjust = sentences(results, Todo::kAdjust);
  put_all(out, "To adjust", adjust);
  put_all(out, "To leave alone", sentences(results, Todo::kLeaveAlone));
  const auto again = sentences(results, Todo::kMeasureAgain);
  put_all(out, "To cut or scan again", again);
  put_all(out, "Not plain whose", sentences(results, Todo::kReported));
  const auto missing = missing_benches(results, notes.all_benches);
  if (!missing.empty())
    put_all(out, "In the roster, but not in the pictures", {"Bench " + list_of(missing) + "."});
  put_all(out, "Over the class", spread_sentences(results, units));
  put_all(out, "Bowed", bow_sentences(results, units));
  put_all(out, "The caliper", caliper_sentences(results, units));
  if (!adjust.empty()) put_all(out, "Before you touch a fence", adjusting_cautions());
  if (!again.empty()) put_all(out, "When you cut again", cutting_cautions());
  if (!notes.folder.empty())
    put_all(out, "Written",
            {"class.html, results.csv, results.jsonl and the pictures in " + std::string("overlays/") +
             ", in " + notes.folder + "."});
  return out;
}

}  // namespace tapersight
