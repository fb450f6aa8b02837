#include "page/measurement_page.h"

#include <cmath>

#include "base/text.h"
#include "caliper/describe.h"
#include "fence/describe.h"
#include "page/budget_words.h"
#include "page/drawings.h"
#include "page/html.h"
#include "page/pictures.h"
#include "page/settings.h"
#include "page/sled_sketch.h"
#include "page/standing.h"
#include "report/text.h"
#include "report/words.h"

namespace tapersight {
namespace {

constexpr std::size_t kRoomyLetters = 600, kDenseLetters = 2100;  // tests/page_browser prints each kind

Markup section(const char* id, const char* title, const Markup& content) {
  return element("section", {{"id", id}, {"aria-labelledby", std::string(id) + "-title"}},
                 words_in("h2", title, {{"id", std::string(id) + "-title"}}) + content);
}

Markup heading_row(const std::vector<std::string>& names) {
  Markup row;
  for (const std::string& name : names) row += words_in("th", name, {{"scope", "col"}});
  return element("thead", element("tr", row));
}

Markup figure(const Markup& drawing, const Markup& caption, const char* look) {
  return element("figure", {{"class", look}}, drawing + element("figcaption", caption));
}

Markup list(const char* tag, const std::vector<std::string>& sentences, const char* look) {
  Markup items;
  for (const std::string& sentence : sentences) items += words_in("li", sentence);
  return element(tag, {{"class", look}}, items);
}

Markup cautions_box(const std::vector<std::string>& cautions, const char* title) {
  return element("aside", {{"class", "cautions"}, {"aria-label", title}},
                 words_in("p", title, {{"class", "box-title"}}) + list("ul", cautions, "plain"));
}

// --- what to do --------------------------------------------------------------------------------------------

Markup headline(const MeasurementReport& report, Standing standing, const std::string& why) {
  const std::string words =
      standing_words(standing, {report.wishes.ring.has_value(), report.wishes.tolerance.has_value()});
  Markup badge = standing_sign(standing) + words_in("span", words);
  const std::size_t further = report.further.size();
  Markup which = text("From the picture ") + foreign(report.picture.file);
  if (further > 0) which += text(" and " + std::to_string(further) + " more");
  if (report.combined) which += text(" of the same strip");  // refused, they may be of two
  if (report.measurement.ok()) which += text(". Fence end: " + fence_end_words(report) + ".");
  return element("header", {{"class", std::string("headline ") + standing_name(standing)}},
                 words_in("h1", what_to_do(report) + ".") + element("p", {{"class", "badge"}}, badge) +
                     words_in("p", why, {{"class", "why"}}) + element("p", {{"class", "which"}}, which));
}

// The numbered procedure carries its cautions in its first step; what has none gets them in a box.
Markup steps_or_cautions(const MeasurementReport& report, Standing standing) {
  const std::vector<std::string>& steps = report.advice.steps;
  Markup out;
  if (!report.advice.ask_distance.empty())
    out += words_in("p", report.advice.ask_distance);
  else if (!report.move && standing != Standing::kSquare && report.fence->sense_is_known())
    out += words_in("p", "Give --pivot and --pivot-distance to get the move.");
  if (report.advice.adjustment) return out + list("ol", steps, "steps moving");
  if (standing == Standing::kSquare) return out + list("ol", steps, "steps");
  if ((!report.fence->sense_is_known() || report.advice.bowed) && steps.empty())
    out += cautions_box(cutting_cautions(), "Before the next cut");
  else if (report.fence->sense_is_known() && !report.advice.bowed)
    out += cautions_box(adjusting_cautions(), "Before you touch the fence");
  return steps.empty() ? out : out + list("ol", steps, "steps");
}

Markup mind_box(const std::vector<Warning>& warnings) {
  if (warnings.empty()) return {};
  std::vector<std::string> texts;
  for (const Warning& warning : warnings) texts.push_back(warning.text);
  return element("aside", {{"class", "mind"}, {"aria-label", "Note"}},
                 words_in("p", "Note", {{"class", "box-title"}}) + list("ul", texts, "plain"));
}

Markup to_do_part(const MeasurementReport& report, Standing standing) {
  return section("to-do", "What to do",
                 steps_or_cautions(report, standing) + mind_box(report.measurement->warnings));
}

// --- the decision ------------------------------------------------------------------------------------------

Markup scale_figure(const MeasurementReport& report) {
  const FenceError& error = *report.fence;
  const double cut_mm = report.setup.cut_length_mm;
  const double shown = cut_mm / fine_unit_mm(report.units);
  IntervalView view;
  view.value = error.theta * shown;
  view.U = error.U * shown;
  if (report.wishes.tolerance) view.tolerance = report.wishes.tolerance->angle * shown;
  view.half_span = half_span_for(std::abs(view.value) + view.U, view.tolerance);
  const std::string unit = typeset(" " + std::string(fine_unit_name(report.units))).substr(1) +
                           " over a cut of " + plain_length_text(cut_mm, report.units);
  const std::string square = report.wishes.ring ? "true" : "square";
  const std::string value = with_uncertainty(view.value, view.U, unit, fine_decimals(report.units));
  const std::string alt =
      "The fence's error on a scale about " + square + ": " + typeset(value) +
      ", counter-clockwise positive" +
      (view.tolerance ? "; the tolerance reaches to " + fixed(*view.tolerance, fine_decimals(report.units)) +
                            " to either side."
                      : ".");
  Markup caption = text("The pointer is the error found, the bar its 95 % interval");
  caption +=
      text(view.tolerance
               ? "; the shaded band is the tolerance of " + report.wishes.tolerance->text +
                     ". A bar wholly within the band is " + square + "."
               : "; no tolerance was given, so nothing is decided. Give --tolerance to get a decision.");
  return figure(interval_scale(view, {unit, square, alt}), caption, "scale-figure");
}

Markup decision_part(const MeasurementReport& report) {
  const ShopAdvice& advice = report.advice;
  const MeasuredFrom from = measured_from(report);
  Markup content;
  if (advice.bowed)
    content +=
        words_in("p", "An edge is not straight. No one angle describes this cut, so nothing is decided.");
  else if (advice.decision)
    content += paragraphs(describe_decision(*advice.decision, *report.wishes.tolerance,
                                            longest_strip_mm(from), report.units, from));
  content += scale_figure(report);
  if (advice.ring) content += paragraphs(describe_ring(*advice.ring, *report.wishes.ring));
  content += paragraphs(describe_error(*report.fence, report.setup, report.units));
  // How much the next strip differs stands in the budget.
  content += words_in("p", cutting_words(*report.of_strip, advice, report.setup, report.units).front());
  if (advice.record)
    content += element("h3", text("The record of ") + foreign(report.wishes.record->sled)) +
               paragraphs(record_words(*advice.record, report.units));
  return section("decision", "How good it is", content);
}

// --- what was seen -----------------------------------------------------------------------------------------

struct Seen {
  Markup found, strip;
  std::string enlarged;  // how much, in words
};

std::string taper_words(const MeasurementReport& report) {
  const StripMeasurement& strip = report.measurement->strip;
  const double k = t_factor(kCoverage, strip.dof);
  return taper_text(strip.taper, k * strip.u_taper, report.units) + " (" + coverage_text(k) + "), " +
         (strip.taper >= 0 ? "wider" : "narrower") + " at the fence end";
}

Markup each_picture(const MeasurementReport& report) {
  Markup rows;
  for (std::size_t i = 0; i < report.combined->each.size(); ++i)
    rows += element("tr", element("th", {{"scope", "row"}}, foreign(shown_in(report, i))) +
                              words_in("td", own_taper(report.combined->each[i], report.units)));
  return element("table", heading_row({"Picture", "Taper that it shows by itself"}) + element("tbody", rows));
}

Markup picture_part(const MeasurementReport& report, const Seen& seen) {
  Markup ends =
      words_in("span", "\u2190 far end") + words_in("span", "FENCE END \u2192", {{"class", "fence-end"}});
  Markup content =
      figure(seen.strip + element("div", {{"class", "ends"}}, ends),
             text("The strip, drawn " + seen.enlarged + " as large. Taper: " + taper_words(report) +
                  ". The lines are the fitted edges: ") +
                 words_in("span", "right above", {{"class", "key right-edge"}}) + text(", ") +
                 words_in("span", "left below", {{"class", "key left-edge"}}) + text("."),
             "strip-figure");
  content += figure(
      seen.found,
      text("The picture as measured. If the lines do not lie on the strip's edges, do not believe it."),
      "found-figure");
  if (report.combined) content += each_picture(report);
  return section("picture", "What was seen", content);
}

std::string bow_words(const EdgeFit& edge, Units units) {
  return "bow " +
         fine_length_with_uncertainty(edge.bow_mm, t_factor(kCoverage, edge.bow_dof) * edge.bow_u_mm, units) +
         (edge.bow_mm >= 0 ? ", the middle standing out" : ", the middle hollow");
}

Markup residuals_part(const MeasurementReport& report) {
  const StripMeasurement& strip = report.measurement->strip;
  const std::string unit(fine_unit_name(report.units));
  Markup content;
  for (const int side : {1, 0}) {
    const EdgeFit& edge = strip.edges[side];
    const std::string name = side == 1 ? "Right edge" : "Left edge";
    const std::string rough =
        fixed(edge.roughness_mm / fine_unit_mm(report.units), fine_decimals(report.units)) + " " + unit +
        " rms";
    const std::string alt =
        typeset(name + ": deviations from its straight line along the strip, " + rough + ".");
    content += figure(residual_drawing(strip, side, report.units, alt),
                      words_in("b", name, {{"class", side == 1 ? "key right-edge" : "key left-edge"}}) +
                          text(": roughness " + rough + ", " + bow_words(edge, report.units) + "; " +
                               std::to_string(edge.points_used) + " places used, " +
                               std::to_string(edge.points_left_out) + " left out (crosses)."),
                      "residual-figure");
  }
  content += words_in("p",
                      "Up and down: " + unit +
                          " off the straight line, outward up for the right edge and down for "
                          "the left. Along: " +
                          std::string(units_name(report.units)) +
                          " from the far end. Left and right: the sheet upright, fence end down.",
                      {{"class", "note"}});
  return section("residuals", "How straight the edges are", content);
}

// --- widths ------------------------------------------------------------------------------------------------

Markup cells(const char* heading, const std::vector<std::string>& values) {
  Markup row = words_in("th", heading, {{"scope", "row"}});
  for (const std::string& value : values) row += words_in("td", value);
  return element("tr", row);
}

std::string caliper_width(const WidthEstimate& width, Units units) {
  return length_with_uncertainty(width.mean_mm, t_factor(kCaliperCoverage, width.dof) * width.u_mm, units);
}

Markup widths_part(const MeasurementReport& report) {
  const StripMeasurement& strip = report.measurement->strip;
  const double U_mm = t_factor(kCoverage, strip.dof) * strip.u_width_mm;
  const auto width = [&](double mm) { return length_with_uncertainty(mm, U_mm, report.units); };
  std::vector<std::string> names{"Width", "Picture, at the very end"};
  std::vector<std::string> fence{width(strip.fence_end_width_mm)}, far{width(strip.far_end_width_mm)};
  Markup content;
  if (const auto& judged = report.caliper) {
    names.emplace_back("Caliper, where it sat");
    fence.push_back(caliper_width(judged->taper.fence_end, report.units));
    far.push_back(caliper_width(judged->taper.far_end, report.units));
  }
  content += element(
      "table", heading_row(names) + element("tbody", cells("Fence end", fence) + cells("Far end", far)));
  content += words_in("p",
                      "The strip is " + length_text(strip.length_mm(), report.units) +
                          " long. The two widths share most of their uncertainty; the taper is not affected.",
                      {{"class", "note"}});
  if (report.caliper) content += words_in("p", verdict_sentence(*report.caliper, report.units));
  return section("widths", "Widths at the ends", content);
}

// --- the budget --------------------------------------------------------------------------------------------

// A standard uncertainty of the taper as one of the fence's error over the cut, in the fine unit.
double over_cut(double u_taper, const MeasurementReport& report) {
  const double per_taper = report.of_strip->u / report.measurement->strip.u_taper;
  return u_taper * per_taper * report.setup.cut_length_mm / fine_unit_mm(report.units);
}

// Two digits of the largest, so that the rows can be compared.
std::string budget_number(double value, const MeasurementReport& report) {
  return fixed(value, decimals_for(over_cut(report.measurement->strip.u_taper, report), 6) + 1);
}

std::string dof_text(double dof) {
  return std::isfinite(dof) ? " (" + fixed(dof, 0) + " degrees of freedom)" : std::string();
}

Markup budget_row(const BudgetRow& row, const MeasurementReport& report) {
  const double share = std::pow(row.u / report.measurement->strip.u_taper, 2);
  const std::string percent = fixed(100 * share, share < 0.01 ? 1 : 0) + " %";
  Markup part = words_in("b", row.source) + text(": " + row.text + dof_text(row.dof));
  Markup size = words_in("span", budget_number(over_cut(row.u, report), report)) + text(" ") +
                element("span", {{"class", "share"}, {"style", "--share:" + fixed(100 * share, 1) + "%"}},
                        text(percent));
  return element("tr", element("th", {{"scope", "row"}}, part) + element("td", size) +
                           words_in("td", what_would_shrink(row.source)));
}

Markup budget_part(const MeasurementReport& report) {
  const StripMeasurement& strip = report.measurement->strip;
  const std::string unit = std::string(" ") + std::string(fine_unit_name(report.units)) + " over " +
                           plain_length_text(report.setup.cut_length_mm, report.units);
  Markup rows;
  for (const BudgetRow& row : strip.budget) rows += budget_row(row, report);
  const auto sum_row = [&](const std::string& what, double u, double k, double dof) {
    rows += element(
        "tr", {{"class", "sum"}},
        words_in("th", what + dof_text(dof), {{"scope", "row"}}) + words_in("td", budget_number(u, report)) +
            words_in("td", "times k = " + fixed(k, 2) + ": \u00b1" + fixed(k * u, decimals_for(k * u, 6)) +
                               unit + ", the 95 % interval"));
  };
  const FenceError& fence = *report.fence;
  const double shown = report.setup.cut_length_mm / fine_unit_mm(report.units);
  const CutScatter& scatter = report.advice.scatter;
  sum_row("This strip", over_cut(strip.u_taper, report), report.of_strip->coverage_factor, strip.dof);
  rows += element("tr", element("th", {{"scope", "row"}},
                                words_in("b", "cutting") +
                                    text(": how much the next strip from the same fence differs, " +
                                         scatter_source(scatter) + dof_text(scatter.dof))) +
                            words_in("td", budget_number(scatter.sigma * shown, report)) +
                            words_in("td", "more strips, each cut anew, in the sled's record"));
  sum_row(report.advice.strips > 1
              ? "The fence, by the mean of " + std::to_string(report.advice.strips) + " strips"
              : std::string("The fence, by this series of cuts"),
          fence.u * shown, fence.coverage_factor, fence.dof);
  Markup table = words_in(
      "caption",
      "Standard uncertainty of the fence's error, in" + unit +
          "; the share is of this strip's variance. Parts without degrees of freedom are not from readings.");
  table += heading_row({"Part", "Size, share", "What would shrink it"});
  return section("budget", "Where the uncertainty comes from",
                 element("table", {{"class", "budget"}}, table + element("tbody", rows)));
}

// --- set-up and settings -----------------------------------------------------------------------------------

Markup setup_figure(const MeasurementReport& report) {
  std::string alt = "The sled from above: " + setup_words(report.setup, report.wishes.ring);
  if (report.advice.adjustment)
    for (const std::string& sentence : describe_move(*report.move, report.setup, report.units))
      alt += " " + sentence;
  const bool turned = report.fence && report.fence->sense_is_known();
  std::string caption = "From above. The blade cuts away from you.";
  if (turned) caption += " Exaggerated: the fence is drawn turned the way it is, the dashed line is square.";
  if (report.advice.adjustment) caption += " The arrow is the move.";
  if (report.wishes.ring) caption += " The mitre's own angle is not drawn.";
  return figure(sled_drawing(sketch_of(report), typeset(alt)), text(caption), "sled-figure");
}

Markup settings_part(const MeasurementReport& report) {
  return section("settings", "To measure it again", settings_list(report));
}

PageFrame frame_of(const MeasurementReport& report) {
  PageFrame frame;
  frame.title = typeset(what_to_do(report)) + " \u2013 " + isolated(report.picture.file);
  return frame;
}

// How small a page is printed, so that it stays one: by the letters that one picture has and another has not.
const char* density_of(const MeasurementReport& report) {
  std::vector<std::string> sentences = report.advice.steps;
  const auto add = [&](const std::vector<std::string>& more) {
    sentences.insert(sentences.end(), more.begin(), more.end());
  };
  for (const Warning& warning : report.measurement->warnings) sentences.push_back(warning.text);
  if (report.advice.record) add(record_words(*report.advice.record, report.units));
  if (report.caliper) sentences.push_back(verdict_sentence(*report.caliper, report.units));
  std::size_t letters = 0;
  for (const std::string& sentence : sentences) letters += sentence.size() + 40;
  return letters < kRoomyLetters ? "" : letters < kDenseLetters ? "dense" : "denser";
}

Markup two_columns(const Markup& left, const Markup& right) {
  return element("div", {{"class", "columns"}},
                 element("div", {{"class", "column"}}, left) + element("div", {{"class", "column"}}, right));
}

Result<Seen> see(const cv::Mat& grey, const MeasurementReport& report) {
  const Enlarged enlarged = enlarged_for_the_eye(report.measurement->strip);
  const std::string times = fixed(enlarged.across * enlarged.lean, 0);
  const bool with_sheet = report.measurement->layout != nullptr;
  const auto found = found_picture(grey, report,
                                   "The picture with the places found on both edges of the strip" +
                                       std::string(with_sheet ? " and the points of the sheet." : "."));
  if (!found) return found.failure();
  const auto strip = strip_picture(
      grey, report, enlarged,
      "The strip laid straight with its two fitted edges, its taper drawn " + times + " times as large.");
  if (!strip) return strip.failure();
  return Seen{*found, *strip, fixed(enlarged.across, 0) + " times as wide, its taper " + times + " times"};
}

// The sheet with the strip in its channel.
Markup how_it_should_look(const MeasurementReport& report) {
  const bool with_sheet = !report.options.without_target;
  const std::string words = with_sheet ? "The strip lies in the channel and nothing lies on the chessboards. "
                                         "Its fence end is at FENCE END. "
                                         "The whole sheet is in the picture."
                                       : "The strip lies alone on an even ground, wholly in the picture.";
  return figure(right_lie_drawing(with_sheet, words), text(words), "lie-figure");
}

// What is marked in the refused picture.
std::string marks_words(const FaultMarks& marks, bool with_sheet) {
  if (!with_sheet) return "The picture that was refused.";
  if (!marks.sheet_seen())
    return "The picture that was refused. Nothing of the printed sheet was found in it.";
  std::string words = "The picture that was refused. Rings: points of the sheet that were found.";
  if (!marks.missing_px.empty())
    words += " Crosses: where " + std::to_string(marks.missing_px.size()) +
             " more should be, hidden or outside the picture.";
  if (marks.channel_px.empty()) return words;
  if (marks.pieces_px.empty()) return words + " Nothing stands out in the channel.";
  return words + (marks.pieces_px.size() == 1 ? " Box 1: what stands out in the channel."
                                              : " Numbered boxes: what stands out in the channel.");
}

Result<std::string> refused_page(const cv::Mat& grey, const MeasurementReport& report) {
  const Failure& why = report.measurement.failure();
  const bool with_sheet = !report.options.without_target;
  const FaultMarks marks = fault_marks(grey, with_sheet);
  Markup body = headline(report, Standing::kNotMeasured, why.text);
  const std::string marked = why.marks.empty() ? marks_words(marks, with_sheet)
                                               : std::string(
                                                     "The picture that was refused. The letters name "
                                                     "the lines that could be the strip's edge.");
  const auto picture = refused_picture(grey, marks, why.marks, marked);
  if (!picture) return picture.failure();
  const Markup seen = figure(*picture, text(marked), "found-figure");
  body += two_columns(section("picture", "The picture", seen),
                      section("right", "How it should look", how_it_should_look(report)) +
                          cautions_box(cutting_cautions(), "If you cut a new strip"));
  body += settings_part(report);
  PageFrame frame = frame_of(report);
  frame.body_class = "refused";
  return whole_page(frame, element("main", body));
}

}  // namespace

namespace {

// In a page the error stands as a sentence of its own.
std::string why_words(const Answer& answer) {
  std::string words = answer.error + " " + answer.how_sure;
  if (words[0] >= 'a' && words[0] <= 'z') words[0] = static_cast<char>(words[0] - 'a' + 'A');
  return words;
}

}  // namespace

Result<std::string> measurement_page(const cv::Mat& grey, const MeasurementReport& report) {
  if (!report.measurement.ok()) return refused_page(grey, report);
  const auto seen = see(grey, report);
  if (!seen) return seen.failure();
  const Standing standing = standing_of(report);
  const Answer answer = answer_of(report);
  Markup body = element("div", {{"class", "top"}},
                        headline(report, standing, why_words(answer)) + setup_figure(report));
  body += two_columns(decision_part(report) + to_do_part(report, standing) + picture_part(report, *seen),
                      residuals_part(report) + widths_part(report) + budget_part(report));
  body += settings_part(report);
  PageFrame frame = frame_of(report);
  frame.body_class = density_of(report);
  return whole_page(frame, element("main", body));
}

}  // namespace tapersight
