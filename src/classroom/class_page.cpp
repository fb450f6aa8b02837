#include "classroom/class_page.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

#include "page/class_sheet.h"
#include "page/slips.h"

namespace tapersight {
namespace {

Standing standing_of(const ClassResult& r) {
  if (!r.measured || r.twice || !r.bench) return Standing::kNotMeasured;
  if (r.bowed) return Standing::kBowed;
  if (r.verdict == "square") return Standing::kSquare;
  if (r.verdict == "not square") return Standing::kAdjust;
  return r.verdict.empty() && r.sense_known ? Standing::kAdjust : Standing::kUndecided;
}

std::string capital(std::string sentence) {
  if (!sentence.empty() && sentence[0] >= 'a' && sentence[0] <= 'z')
    sentence[0] = static_cast<char>(sentence[0] - 'a' + 'A');
  return sentence;
}

ClassRow row_of(const ClassResult& r, const std::map<std::string, Jpeg>& thumbnails) {
  ClassRow row;
  row.bench = r.bench ? std::to_string(*r.bench) : "Unidentified: " + r.picture;
  row.identified = r.bench.has_value();
  if (!r.group.empty()) row.bench = r.group + " " + row.bench;
  row.student = r.student;
  row.picture = r.picture;
  row.standing = standing_of(r);
  row.page_file = r.overlay;
  if (const auto small = thumbnails.find(r.thumbnail); small != thumbnails.end()) {
    row.thumbnail_jpeg = small->second.bytes;
    row.thumbnail_width_px = small->second.width_px;
    row.thumbnail_height_px = small->second.height_px;
  }
  if (row.standing != Standing::kNotMeasured) {
    row.error = r.error;
    row.U = r.error_U;
    row.tolerance_text = r.tolerance;
    row.to_do = capital(result_sentence(r));
  } else if (r.twice) {
    row.reason = "There is more than one strip of this bench.";
    row.to_do = "Take one of them away.";
  } else if (r.reason) {
    row.reason = r.reason->text;
    row.to_do = r.reason->remedy;
  }
  return row;
}

// One tolerance for all, or the tightest with words that say so.
void set_tolerance(const std::vector<ClassResult>& results, ClassSheet& sheet) {
  constexpr double kSame = 1e-12;  // rad: the same tolerance typed and reckoned in other units
  std::set<std::pair<double, std::string>> all;
  for (const ClassResult& r : results)
    if (r.tolerance_rad) all.insert({std::round(*r.tolerance_rad / kSame) * kSame, r.tolerance});
  if (all.empty()) return;
  sheet.tolerance = all.begin()->first;
  sheet.tolerance_text = all.begin()->second;
  if (all.size() > 1) sheet.tolerance_text += " and wider ones";
}

SledSketch sketch_of(const ClassResult& r) {
  SledSketch sketch;
  sketch.setup = r.setup;
  sketch.units = r.units;
  if (r.sense_known) sketch.sense = r.sense == "clockwise" ? Sense::kClockwise : Sense::kCounterclockwise;
  if (!r.means.empty())
    sketch.move = r.move_toward == "operator" ? Toward::kOperator : Toward::kAwayFromOperator;
  return sketch;
}

// The sheet, and the results that its first rows are of.
std::pair<ClassSheet, std::vector<const ClassResult*>> class_sheet(const std::vector<ClassResult>& results,
                                                                   const ClassNotes& notes,
                                                                   const ClassPageOptions& options) {
  ClassSheet sheet;
  sheet.title = options.title;
  sheet.program_version = options.program_version;
  sheet.units = options.units;
  sheet.cut_length_mm = options.cut_length_mm;
  set_tolerance(results, sheet);
  std::vector<const ClassResult*> ordered;
  for (const ClassResult& r : results) ordered.push_back(&r);
  // Lines without a bench at the end.
  const auto key = [](const ClassResult* r) {
    return std::make_tuple(!r->bench.has_value(), r->group, r->bench);
  };
  std::stable_sort(ordered.begin(), ordered.end(),
                   [&](const ClassResult* a, const ClassResult* b) { return key(a) < key(b); });
  for (const ClassResult* r : ordered) sheet.rows.push_back(row_of(*r, options.thumbnails));
  for (const AbsentBench& absent : absent_benches(results, notes.roster)) {
    ClassRow row;
    row.bench = std::to_string(absent.bench);
    row.student = absent.student;
    row.reason = kAbsentText;
    row.to_do = kAbsentRemedy;
    sheet.rows.push_back(std::move(row));
  }
  if (const auto spread = spread_sentences(results, options.units); !spread.empty())
    sheet.over_the_class = spread;
  for (const std::string& sentence : caliper_sentences(results, options.units))
    sheet.over_the_class.push_back("The caliper: " + sentence);
  return {std::move(sheet), std::move(ordered)};
}

}  // namespace

std::string class_page(const std::vector<ClassResult>& results, const ClassNotes& notes,
                       const ClassPageOptions& options) {
  return class_sheet_html(class_sheet(results, notes, options).first);
}

std::string class_slips(const std::vector<ClassResult>& results, const ClassNotes& notes,
                        const ClassPageOptions& options) {
  const auto [sheet, ordered] = class_sheet(results, notes, options);
  std::vector<Slip> slips;
  for (std::size_t i = 0; i < sheet.rows.size(); ++i) {
    if (!sheet.rows[i].identified) continue;
    slips.push_back({sheet.rows[i], {}});
    if (i < ordered.size() && ordered[i]->measured && !ordered[i]->twice)
      slips.back().sketch = sketch_of(*ordered[i]);
  }
  return slips_html(sheet, slips);
}

}  // namespace tapersight
