#include "pipeline/judge_rivals.h"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace tapersight {
namespace {

// Tapers that differ by more would move a fence of the usual five cuts by over a quarter of the usual
// tolerance (2 thou over 12 in, four times over in the taper; common practice, no published source). Below,
// both lines stay within an interval that is still of use.
constexpr double kMostSpread = 4 * 0.25 * 0.002 / 12;

// How far a rival's taper is from the chosen line's, and what chance alone does (standard uncertainty).
struct Apart {
  double taper = 0, by_chance = 0;
};

Apart apart_of(const StripMeasurement& rival, const StripMeasurement& chosen) {
  return {std::abs(rival.taper - chosen.taper), std::hypot(rival.u_of("edges"), chosen.u_of("edges"))};
}

// Of a line that is too faint to be fitted: from how it leans against the chosen one, told by its places in
// each segment.
Apart apart_by_lean(const ScanSide& side, const BorderCandidate& line, const StripMeasurement& chosen) {
  const double half_px = (side.path.last_line() - side.path.first_line()) / 2.0;
  // Of a straight line through even places.
  const double u_lean_px = line.uneven_px / std::sqrt(static_cast<double>(line.curve_px.size()) / 3);
  return {std::abs(line.lean_px - side.edge.lean_px) / half_px,
          std::hypot(u_lean_px / half_px, chosen.u_of("edges"))};
}

// From left to right on the printed sheet.
bool further_left(const OpenLine& a, const OpenLine& b) {
  if (a.side != b.side) return a.side < b.side;
  return a.side == 0 ? a.line.offset_px < b.line.offset_px : a.line.offset_px > b.line.offset_px;
}

std::string letters_of(const std::vector<OpenLine>& open, int side) {
  std::string letters;
  for (const OpenLine& o : open)
    if (o.side == side) letters += o.letter;
  return letters;
}

std::string listed(const std::string& letters, const std::string& before) {
  std::string text;
  for (std::size_t i = 0; i < letters.size(); ++i) {
    if (i > 0) text += i + 1 == letters.size() ? " or " : ", ";
    text += before + letters[i];
  }
  return text;
}

}  // namespace

RivalVerdict judge_rivals(const ScanView& view, const ScanSides& sides, const TracedSides& traced,
                          const PictureMeasurement& m, const StripFitOptions& fit) {
  RivalVerdict verdict;
  for (int side = 0; side < 2; ++side) {
    const ScanSide& chosen = sides[static_cast<std::size_t>(side)];
    std::vector<OpenLine> of_side;
    double widest = 0;
    for (const BorderCandidate& line : chosen.rivals) {
      if (view.deadline.passed()) return verdict;  // the caller asks it too
      ScanSides other = sides;
      ScanSide& taken = other[static_cast<std::size_t>(side)];
      taken = with_line(view, chosen, line);
      const Result<TracedSides> measured = trace_sides(view, other, m, fit);
      const Apart apart =
          measured ? apart_of(measured->strip, traced.strip) : apart_by_lean(chosen, line, traced.strip);
      if (apart.taper > std::max(kMostSpread, 2 * apart.by_chance))
        of_side.push_back({side, '\0', line, taken});
      else
        widest = std::max(
            widest, std::sqrt(std::max(0.0, apart.taper * apart.taper - apart.by_chance * apart.by_chance)));
    }
    if (widest / std::sqrt(3.0) > verdict.spread_u) verdict.spread_side = side;
    verdict.spread_u = std::hypot(verdict.spread_u, widest / std::sqrt(3.0));
    if (of_side.empty()) continue;
    of_side.push_back({side, '\0', chosen.edge, chosen});
    verdict.open.insert(verdict.open.end(), of_side.begin(), of_side.end());
  }
  std::sort(verdict.open.begin(), verdict.open.end(), further_left);
  for (std::size_t i = 0; i < verdict.open.size(); ++i)
    verdict.open[i].letter = static_cast<char>('A' + std::min<std::size_t>(i, 25));
  return verdict;
}

Failure edge_unclear(const ScanView& view, const std::vector<OpenLine>& open) {
  Failure failure;
  failure.code = "edge-unclear";
  std::string take;
  for (int side = 0; side < 2; ++side) {
    const std::string letters = letters_of(open, side);
    if (letters.empty()) continue;
    failure.text += failure.text.empty()
                        ? "More than one line could be the strip's " + std::string(side_word(side)) +
                              " edge: " + listed(letters, "") + ", from left to right (fence end down)."
                        : " On the " + std::string(side_word(side)) + ": " + listed(letters, "") + ".";
    take += (take.empty() ? "" : " and ") + listed(letters, "--take ");
  }
  failure.remedy =
      "Brush off chalk and dust, take tape away, lay the strip straight and scan again. Or say which line is "
      "the edge with " +
      take + "; --report PAGE.html shows them.";
  for (const OpenLine& o : open) {
    const SidePath& path = o.as_edge.path;
    const double first = path.first_line(), last = path.last_line();
    const Eigen::Vector2d from = view.lines->picture_px(first, path.place(first));
    const Eigen::Vector2d to = view.lines->picture_px(last, path.place(last));
    failure.marks.push_back({std::string(1, o.letter), from.x(), from.y(), to.x(), to.y()});
  }
  return failure;
}

Result<TakenLines> take_lines(const ScanSides& sides, const std::vector<OpenLine>& open,
                              const std::string& letters) {
  TakenLines taken{sides, {}};
  bool told[2] = {false, false};
  for (const char letter : letters) {
    const auto at =
        std::find_if(open.begin(), open.end(), [&](const OpenLine& o) { return o.letter == letter; });
    if (at == open.end())
      return Failure{"take-unknown", std::string("No line in this picture bears the letter ") + letter + ".",
                     "Measure without --take: the answer names the lines if there is anything to choose."};
    if (told[at->side])
      return Failure{"take-unknown", "Two of the letters are lines of the same side.",
                     "Give one letter a side: the line that is the strip's edge."};
    told[at->side] = true;
    taken.sides[static_cast<std::size_t>(at->side)] = at->as_edge;
  }
  std::copy_if(open.begin(), open.end(), std::back_inserter(taken.still_open),
               [&](const OpenLine& o) { return !told[o.side]; });
  return taken;
}

}  // namespace tapersight
