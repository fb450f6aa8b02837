#include "classroom/class_summary.h"

#include <algorithm>
#include <cmath>
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

// The error over the bench's own cut, with its sign.
std::string error_text(const ClassResult& r) {
  return fine_length_with_uncertainty(r.error * r.cut_length_mm, r.error_U * r.cut_length_mm, r.units) +
         " over " + plain_length_text(r.cut_length_mm, r.units);
}

std::string error_text(double rad, Units units) {
  return units == Units::kInch ? fixed(rad * kMmPerFoot / kMmPerThou, 2) + " thou over 12 in"
                               : fixed(rad * 300, 3) + " mm over 300 mm";
}

std::string adjust_sentence(const ClassResult& r) {
  if (!r.move_mm)
    return "turn the fence " + (r.sense == "clockwise" ? std::string("counter-clockwise") : "clockwise") +
           ", seen from above. It is out by " + error_text(r) +
           ". Put its pivot distance in the roster to get the move.";
  FenceMove move;
  move.move_mm = *r.move_mm;
  move.end = r.move_end == "left" ? Side::kLeft : Side::kRight;
  move.toward = r.move_toward == "operator" ? Toward::kOperator : Toward::kAwayFromOperator;
  std::string sentence = move_phrase(move, r.units);
  if (r.setup.pivot_distance_mm)
    sentence += ", " + plain_length_text(*r.setup.pivot_distance_mm, r.units) + " from the pivot";
  sentence += (r.means.empty() ? "" : ": " + r.means) + ".";
  sentence[0] = 'm';
  return sentence + (r.sense_known ? "" : " Its direction is a guess: measure a longer strip first.");
}

std::string again_sentence(const ClassResult& r) {
  if (!r.measured) return r.reason ? r.reason->text + " " + r.reason->remedy : "not measured.";
  if (r.bowed)
    return "the strip is bowed, so one angle does not describe the cut. Check the fence with a straightedge "
           "and cut "
           "a new strip.";
  std::string text = "too close to call: " + error_text(r) + ", where " + r.tolerance + " is allowed. ";
  if (r.move_mm && r.sense_known)
    return text + "Make the move and measure again, or cut another strip: " + adjust_sentence(r);
  return text + "Cut another strip, and keep both in the sled's record: it takes their mean.";
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

std::vector<std::string> bow_sentences(const std::vector<ClassResult>& results, Units units) {
  std::vector<std::string> lines;
  for (const ClassResult& r : results) {
    if (!counts(r) || !r.bowed) continue;
    const double bow = std::abs(r.bow_mm[0]) > std::abs(r.bow_mm[1]) ? r.bow_mm[0] : r.bow_mm[1];
    lines.push_back(named(r) + ": an edge is " + (bow > 0 ? "proud" : "hollow") + " by " +
                    fine_length_text(std::abs(bow), units == Units::kInch ? kMmPerThou : 0.01, units) +
                    ". Check that fence with a straightedge before you believe its angle.");
  }
  return lines;
}

std::string with_student(int bench, const std::string& student) {
  return "Bench " + std::to_string(bench) + (student.empty() ? "" : " (" + student + ")");
}

std::vector<std::string> absent_sentences(const std::vector<ClassResult>& results, const ClassNotes& notes) {
  std::vector<std::string> lines;
  for (const AbsentBench& a : absent_benches(results, notes.roster))
    lines.push_back(with_student(a.bench, a.student) + ": scan its strip.");
  return lines;
}

std::vector<std::string> no_distance_sentences(const ClassNotes& notes) {
  std::vector<std::string> lines;
  for (const int bench : notes.no_distance)
    lines.push_back(with_student(bench, notes.roster.at(bench)) + ": the roster has no pivot distance.");
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
                    " pictures not looked at. Go on with --resume.");
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

std::vector<std::string> spread_sentences(const std::vector<ClassResult>& results, Units units) {
  const auto spread = class_spread(results);
  if (!spread) return {};
  std::vector<std::string> lines;
  lines.push_back(counted(static_cast<std::size_t>(spread->benches), "bench") + ": out by " +
                  error_text(spread->mean, units) + " on the average, plus being counter-clockwise" +
                  (spread->benches > 1
                       ? ", with a standard deviation of " + error_text(spread->standard_deviation, units)
                       : std::string()) +
                  ".");
  if (spread->benches == 1) return lines;
  lines.push_back("From " + error_text(spread->smallest, units) + " (bench " +
                  std::to_string(spread->smallest_bench) + ") to " + error_text(spread->largest, units) +
                  " (bench " + std::to_string(spread->largest_bench) + ").");
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
                    "). Set its zero. The tapers are not affected.");
  if (caliper->taper_off)
    lines.push_back("Its tapers are off the same way for everybody, by " +
                    error_text(caliper->taper_difference, units) + of +
                    ". Do not use it for this until you have checked it with a gauge block.");
  if (!caliper->disagreeing.empty())
    lines.push_back("It disagrees with the picture at bench " + list_of(caliper->disagreeing) +
                    (caliper->taper_off ? "." : ": read those strips again."));
  if (lines.empty()) lines.push_back("It agrees with the pictures" + of + ".");
  return lines;
}

std::string result_sentence(const ClassResult& r) {
  if (r.twice)
    return "there is more than one strip of this bench (" + r.picture + "). Take one of them away.";
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

bool all_measured(const std::vector<ClassResult>& results, const ClassNotes& notes) {
  return notes.pictures_done == notes.pictures &&
         std::all_of(results.begin(), results.end(), [](const ClassResult& r) { return counts(r); });
}

std::string class_text(const std::vector<ClassResult>& results, const ClassNotes& notes, Units units,
                       const Terminal& terminal) {
  std::string out = "The class\n";
  for (const std::string& line : opening(results, notes)) put(out, "  ", line, terminal);
  const auto adjust = sentences(results, Todo::kAdjust);
  put_all(out, "To adjust", adjust, terminal);
  put_all(out, "To leave alone", sentences(results, Todo::kLeaveAlone), terminal);
  const auto again = sentences(results, Todo::kMeasureAgain);
  put_all(out, "To cut or scan again", again, terminal);
  put_all(out, "Unidentified", sentences(results, Todo::kReported), terminal);
  put_all(out, "In the roster, but not in the pictures", absent_sentences(results, notes), terminal);
  put_all(out, "No move given", no_distance_sentences(notes), terminal);
  put_all(out, "Over the class", spread_sentences(results, units), terminal);
  put_all(out, "Bowed", bow_sentences(results, units), terminal);
  put_all(out, "The caliper", caliper_sentences(results, units), terminal);
  if (!adjust.empty()) put_all(out, "Before you touch a fence", adjusting_cautions(), terminal);
  if (!again.empty()) put_all(out, "When you cut again", cutting_cautions(), terminal);
  if (!notes.folder.empty())
    put_all(out, "Written",
            {"class.html, results.csv, results.jsonl and the pictures in " + std::string("overlays/") +
             ", in " + notes.folder + "."},
            terminal);
  return out;
}

}  // namespace tapersight
