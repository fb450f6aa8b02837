#include "batch/class_page.h"

#include <algorithm>
#include <set>
#include <tuple>

#include "page/class_sheet.h"

namespace tapersight {
namespace {

Standing standing_of(const ClassResult& r) {
  if (!r.measured || r.twice || !r.bench) return Standing::kNotMeasured;
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
  row.bench = r.bench ? std::to_string(*r.bench) : "not named: " + r.picture;
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
    row.to_do = capital(result_sentence(r));
    if (r.bowed)
      row.warnings.emplace_back("A long edge is not straight: one angle does not describe the cut.");
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
  std::set<std::pair<double, std::string>> all;
  for (const ClassResult& r : results)
    if (r.tolerance_rad) all.insert({*r.tolerance_rad, r.tolerance});
  if (all.empty()) return;
  sheet.tolerance = all.begin()->first;
  sheet.tolerance_text = all.begin()->second;
  if (all.size() > 1) sheet.tolerance_text += " and wider ones";
}

}  // namespace

std::string class_page(const std::vector<ClassResult>& results, const ClassNotes& notes,
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
  for (const int bench : missing_benches(results, notes.all_benches)) {
    ClassRow row;
    row.bench = std::to_string(bench);
    row.reason = "No picture shows a strip of this bench.";
    row.to_do = "Scan it.";
    sheet.rows.push_back(std::move(row));
  }
  return class_sheet_html(sheet);
}

}  // namespace tapersight
