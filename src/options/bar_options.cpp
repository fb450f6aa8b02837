#include "options/bar_options.h"

#include <cmath>

namespace tapersight {
namespace {

// More than this part off the printed length is a slip of the pen, not a printer.
constexpr double kMostBarError = 0.1;

std::optional<Failure> set_bar(std::optional<double>& bar_mm, const std::optional<std::string>& text,
                               Units units, const char* name, double printed_mm) {
  if (!text) return std::nullopt;
  const auto length = parse_positive_length(*text, units, name);
  if (!length) return length.failure();
  if (std::abs(*length / printed_mm - 1) > kMostBarError)
    return Failure{"bar-implausible",
                   std::string(name) + ": the bar is printed " + length_text(printed_mm, Units::kInch) +
                       " (" + length_text(printed_mm, Units::kMillimetre) + ") long, \"" + *text +
                       "\" is far from it.",
                   "Measure it again between the end ticks, and write the unit."};
  bar_mm = *length;
  return std::nullopt;
}

}  // namespace

std::optional<Failure> set_bars(PictureOptions& options, const std::optional<std::string>& bar_x,
                                const std::optional<std::string>& bar_y, Units units) {
  // All sheets carry the same bars.
  const SheetLayout& layout = sheet_layout(Paper::kA4);
  if (auto f = set_bar(options.bar_x_mm, bar_x, units, "--bar-x", layout.bar_x.length_mm())) return f;
  return set_bar(options.bar_y_mm, bar_y, units, "--bar-y", layout.bar_y.length_mm());
}

}  // namespace tapersight
