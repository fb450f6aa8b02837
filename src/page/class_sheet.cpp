#include "page/class_sheet.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/markup.h"
#include "base/text.h"
#include "fence/describe.h"
#include "page/drawings.h"
#include "page/pictures.h"
#include "report/residual_plot.h"

namespace tapersight {
namespace {

// One outlier does not press all other intervals together: the scale ends at so many tolerances.
constexpr double kMostTolerances = 3;

double shown_per_rad(const ClassSheet& sheet) {
  return sheet.cut_length_mm / fine_unit_mm(sheet.units);
}

std::string unit_words(const ClassSheet& sheet) {
  return std::string(fine_unit_name(sheet.units)) + " over " +
         plain_length_text(sheet.cut_length_mm, sheet.units);
}

StandingTerms terms_of(const ClassSheet& sheet) {
  return {false, sheet.tolerance.has_value()};
}

bool is_measured(const ClassRow& row) {
  return row.error && row.U;
}

double common_half_span(const ClassSheet& sheet) {
  double reach = 0;
  for (const ClassRow& row : sheet.rows)
    if (is_measured(row)) reach = std::max(reach, std::abs(*row.error) + *row.U);
  if (sheet.tolerance) reach = std::min(reach, kMostTolerances * *sheet.tolerance);
  const double shown = shown_per_rad(sheet);
  const auto tolerance =
      sheet.tolerance ? std::optional<double>(*sheet.tolerance * shown) : std::optional<double>();
  return half_span_for(reach * shown, tolerance);
}

// --- the summary -------------------------------------------------------------------------------------------

std::vector<const ClassRow*> rows_standing(const ClassSheet& sheet, Standing standing) {
  std::vector<const ClassRow*> rows;
  for (const ClassRow& row : sheet.rows)
    if (row.standing == standing) rows.push_back(&row);
  return rows;
}

std::string count_words(Standing standing) {
  switch (standing) {
    case Standing::kSquare:
      return "square";
    case Standing::kAdjust:
      return "to adjust";
    case Standing::kUndecided:
      return "too close to call";
    case Standing::kBowed:
      return "bowed";
    case Standing::kNotMeasured:
      break;
  }
  return "to cut or scan again";
}

constexpr Standing kAllStandings[] = {Standing::kSquare, Standing::kAdjust, Standing::kUndecided,
                                      Standing::kBowed, Standing::kNotMeasured};

std::string headline_words(const ClassSheet& sheet) {
  std::string words;
  for (const Standing standing : kAllStandings) {
    const std::size_t count = rows_standing(sheet, standing).size();
    if (count > 0)
      words += (words.empty() ? "" : ", ") + std::to_string(count) + "\u00a0" + count_words(standing);
  }
  return words.empty() ? "No bench yet" : words;
}

Markup bench_name(const ClassRow& row) {
  const Markup name = foreign(row.bench);
  return row.page_file.empty() ? name : element("a", {{"href", relative_href(row.page_file)}}, name);
}

Markup who(const ClassRow& row) {
  return bench_name(row) + (row.student.empty() ? Markup() : text(", ") + foreign(row.student));
}

Markup who_must(const ClassSheet& sheet, Standing standing, const char* id, const char* title) {
  const auto rows = rows_standing(sheet, standing);
  if (rows.empty()) return {};
  Markup items;
  for (const ClassRow* row : rows) {
    Markup item = element("b", who(*row)) + text(": ");
    if (!row->reason.empty()) item += text(row->reason + " ");
    items += element("li", item + text(row->to_do));
  }
  return element(
      "section", {{"aria-labelledby", id}},
      element("h2", {{"id", id}, {"class", standing_name(standing)}}, standing_sign(standing) + text(title)) +
          element("ul", {{"class", "plain"}}, items));
}

Markup cautions(const ClassSheet& sheet) {
  if (rows_standing(sheet, Standing::kSquare).size() == sheet.rows.size()) return {};
  Markup items;
  for (const auto* part : {&adjusting_cautions(), &cutting_cautions()})
    for (const std::string& caution : *part)
      if (part == &adjusting_cautions() || caution != adjusting_cautions().back())
        items += words_in("li", caution);
  return element("aside", {{"class", "cautions"}, {"aria-label", "Before anybody adjusts or cuts"}},
                 words_in("p", "Before anybody adjusts or cuts", {{"class", "box-title"}}) +
                     element("ul", {{"class", "plain"}}, items));
}

// --- the table ---------------------------------------------------------------------------------------------

Markup error_cell(const ClassSheet& sheet, const ClassRow& row, double half_span) {
  if (!is_measured(row)) {
    Jpeg thumbnail{row.thumbnail_jpeg, row.thumbnail_width_px, row.thumbnail_height_px};
    const Markup picture =
        row.thumbnail_jpeg.empty()
            ? Markup()
            : inline_picture(thumbnail, "The refused picture of bench " + isolated(row.bench));
    return element("td", {{"class", "refused-picture"}}, picture + element("p", foreign(row.picture)));
  }
  const double shown = shown_per_rad(sheet);
  IntervalView view{*row.error * shown, *row.U * shown, {}, half_span};
  if (sheet.tolerance) view.tolerance = *sheet.tolerance * shown;
  const std::string words =
      with_uncertainty(view.value, view.U, fine_unit_name(sheet.units), fine_decimals(sheet.units));
  return element("td", {{"data-key", fixed(std::abs(*row.error) * 1e9, 0)}},
                 interval_mark(view) + words_in("span", words, {{"class", "number"}}));
}

Markup to_do_cell(const ClassSheet& sheet, const ClassRow& row) {
  Markup cell =
      element("p", {{"class", std::string("badge ") + standing_name(row.standing)}},
              standing_sign(row.standing) + words_in("span", standing_words(row.standing, terms_of(sheet))));
  if (!row.reason.empty()) cell += words_in("p", row.reason);
  cell += words_in("p", row.to_do);
  for (const std::string& warning : row.warnings)
    cell += element("p", {{"class", "note"}}, words_in("b", "Note: ") + text(warning));
  return element("td", {{"data-key", std::to_string(static_cast<int>(row.standing))}}, cell);
}

Markup table_row(const ClassSheet& sheet, const ClassRow& row, std::size_t number, double half_span) {
  Markup bench = element("b", bench_name(row));
  if (!row.student.empty()) bench += element("p", foreign(row.student));
  return element("tr", element("th", {{"scope", "row"}, {"data-key", std::to_string(number)}}, bench) +
                           error_cell(sheet, row, half_span) + to_do_cell(sheet, row));
}

Markup table(const ClassSheet& sheet) {
  const double half_span = common_half_span(sheet);
  Markup head;
  for (const std::string& name :
       {std::string("Bench"), "Error, " + unit_words(sheet), std::string("What to do")})
    head += words_in("th", name, {{"scope", "col"}});
  Markup rows;
  for (std::size_t i = 0; i < sheet.rows.size(); ++i) rows += table_row(sheet, sheet.rows[i], i, half_span);
  const int decimals = decimals_of(half_span / 10);
  std::string caption =
      "Each error with its 95 % interval, counter-clockwise positive; all bars on one scale from " +
      fixed(-half_span, decimals) + " to +" + fixed(half_span, decimals) + " " +
      std::string(fine_unit_name(sheet.units)) + ", square in its middle";
  caption += sheet.tolerance ? ", the shaded band the tolerance of " + sheet.tolerance_text + "."
                             : "; no tolerance was given.";
  return element(
      "table", {{"id", "benches"}, {"class", "benches"}},
      words_in("caption", caption) + element("thead", element("tr", head)) + element("tbody", rows));
}

}  // namespace

ClassRow class_row(const MeasurementReport& report) {
  ClassRow row;
  row.picture = report.picture.file;
  row.standing = standing_of(report);
  if (row.standing == Standing::kNotMeasured) {
    const Failure& why = report.measurement.failure();
    row.reason = why.text;
    row.to_do = why.remedy;
    return row;
  }
  row.error = report.fence->theta;
  row.U = report.fence->U;
  row.to_do = what_to_do(report) + ".";
  for (const Warning& warning : report.measurement->warnings) row.warnings.push_back(warning.text);
  return row;
}

std::string class_sheet_html(const ClassSheet& sheet) {
  Markup head = words_in("h1", headline_words(sheet) + ".");
  std::set<std::string> benches;
  for (const ClassRow& row : sheet.rows)
    if (row.identified) benches.insert(row.bench);
  Markup which = text(std::to_string(benches.size()) + (benches.size() == 1 ? " bench" : " benches"));
  if (!sheet.title.empty()) which = foreign(sheet.title) + text(": ") + which;
  which += text(sheet.tolerance ? ", tolerance " + sheet.tolerance_text : ", no tolerance given");
  which += text("; tapersight " + sheet.program_version);
  head += element("p", {{"class", "which"}}, which);
  Markup body = element("header", {{"class", "headline"}}, head);
  body += who_must(sheet, Standing::kAdjust, "adjust", "Who must adjust");
  body += who_must(sheet, Standing::kNotMeasured, "again", "Who must cut or scan again");
  body += who_must(sheet, Standing::kUndecided, "undecided", "Too close to call");
  body += who_must(sheet, Standing::kBowed, "bowed", "Bowed strips: check the fence with a straightedge");
  body += cautions(sheet);
  body += element("section", {{"aria-labelledby", "all"}},
                  words_in("h2", "All benches", {{"id", "all"}}) + table(sheet));
  if (!sheet.over_the_class.empty())
    body +=
        element("section", {{"aria-labelledby", "over-all"}},
                words_in("h2", "Over the class", {{"id", "over-all"}}) + paragraphs(sheet.over_the_class));
  PageFrame frame;
  frame.title = headline_words(sheet) + (sheet.title.empty() ? "" : " \u2013 " + isolated(sheet.title));
  frame.script = class_sheet_script();
  frame.script_hash = class_sheet_script_hash();
  frame.body_class = "class-sheet";
  return whole_page(frame, element("main", body));
}

}  // namespace tapersight
