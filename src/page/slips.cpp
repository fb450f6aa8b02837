#include "page/slips.h"

#include <cmath>

#include "fence/describe.h"

namespace tapersight {
namespace {

std::string error_words(const ClassSheet& sheet, const ClassRow& row) {
  const double cut_mm = sheet.cut_length_mm;
  const std::string& allowed = row.tolerance_text.empty() ? sheet.tolerance_text : row.tolerance_text;
  return fine_length_with_uncertainty(std::fabs(*row.error) * cut_mm, *row.U * cut_mm, sheet.units) +
         " out over " + plain_length_text(cut_mm, sheet.units) +
         (allowed.empty() ? "" : ", " + allowed + " allowed") + ".";
}

Markup slip(const ClassSheet& sheet, const Slip& slip) {
  const ClassRow& row = slip.row;
  Markup head = words_in("b", "Bench ") + element("b", foreign(row.bench));
  if (!row.student.empty()) head += text(", ") + foreign(row.student);
  Markup words = element("h2", head);
  words += element("p", {{"class", std::string("badge ") + standing_name(row.standing)}},
                   standing_sign(row.standing) +
                       words_in("span", standing_words(row.standing, {false, sheet.tolerance.has_value()})));
  words += words_in("p", row.to_do, {{"class", "move-words"}});
  if (!row.reason.empty()) words += words_in("p", row.reason);
  if (row.error && row.U) words += words_in("p", error_words(sheet, row), {{"class", "note"}});
  const bool adjust = row.standing == Standing::kAdjust;
  if (adjust)
    words += words_in("p", adjusting_cautions()[0] + " " + adjusting_cautions()[1], {{"class", "note"}});
  Markup whole = element("div", words);
  if (slip.sketch)
    whole += sled_drawing(*slip.sketch, "The sled of bench " + row.bench + " from above: " + row.to_do);
  return element("section", {{"class", "slip"}}, whole);
}

}  // namespace

std::string slips_html(const ClassSheet& sheet, const std::vector<Slip>& slips) {
  Markup head = words_in("h1", "Slips to cut apart");
  if (!sheet.title.empty()) head += element("p", {{"class", "which"}}, foreign(sheet.title));
  Markup all;
  for (const Slip& one : slips) all += slip(sheet, one);
  PageFrame frame;
  frame.title = "Slips" + (sheet.title.empty() ? "" : " \u2013 " + isolated(sheet.title));
  frame.body_class = "slips-page";
  return whole_page(frame, element("main", element("header", {{"class", "headline"}}, head) +
                                               element("div", {{"class", "slips"}}, all)));
}

}  // namespace tapersight
