#include "synth/sheet_extras.h"

#include <algorithm>

#include "base/rng.h"

namespace tapersight {
namespace {

constexpr double kHairlineMm = 0.15;
constexpr double kBarLineMm = 0.2;

void add_box(double x, double y, double width, double height, std::vector<Outline>& out) {
  out.push_back(rectangle({x, y}, {x + width, y + height}));
}

void add_bar(const CheckBar& bar, std::vector<Outline>& out) {
  const Eigen::Vector2d along = (bar.to_mm - bar.from_mm).normalized();
  const Eigen::Vector2d across(-along.y(), along.x());
  const auto stroke = [&](const Eigen::Vector2d& from, const Eigen::Vector2d& to) {
    const Eigen::Vector2d side =
        Eigen::Vector2d((to - from).y(), -(to - from).x()).normalized() * kBarLineMm / 2;
    out.push_back({{from - side, to - side, to + side, from + side}, 1});
  };
  stroke(bar.from_mm, bar.to_mm);
  for (const Eigen::Vector2d& end : {bar.from_mm, bar.to_mm}) stroke(end - 1.2 * across, end + 1.2 * across);
}

// Words along y as dashes.
void add_words(double x, double from_y, double to_y, double height, std::uint64_t seed,
               std::vector<Outline>& out) {
  Rng rng(seed);
  for (double y = from_y; y < to_y;) {
    const double word = std::min(rng.uniform(2, 9), to_y - y);
    for (double letter = 0; letter + 0.8 < word; letter += 1.4)
      add_box(x - height / 2 * rng.uniform(0.9, 1.4), y + letter, height, rng.uniform(0.3, 0.7), out);
    y += word + 1.5;
  }
}

}  // namespace

SheetExtras sheet_extras(const SheetLayout& layout) {
  SheetExtras extras;
  const RectMm& channel = layout.channel;
  const double h = kHairlineMm / 2;
  const double inner = channel.height - kHairlineMm;
  add_box(channel.x - h, channel.y - h, channel.width + 2 * h, 2 * h, extras.hairline);
  add_box(channel.x - h, channel.bottom() - h, channel.width + 2 * h, 2 * h, extras.hairline);
  add_box(channel.x - h, channel.y + h, 2 * h, inner, extras.hairline);
  add_box(channel.right() - h, channel.y + h, 2 * h, inner, extras.hairline);
  add_bar(layout.bar_x, extras.black);
  add_bar(layout.bar_y, extras.black);
  const double bottom = layout.blocks[0].bottom();
  const double right = layout.blocks[1].right();
  for (const double side : {layout.blocks[0].x - 24, right + 24})
    extras.black.push_back({{{side - 9, bottom - 9.5}, {side + 9, bottom - 9.5}, {side, bottom - 0.5}}, 1});
  for (int line = 0; line < 5; ++line)
    add_words(right + 22 - 5 * line, 30, line == 0 ? 95 : 200, line == 0 ? 3 : 2, 40 + line, extras.black);
  return extras;
}

}  // namespace tapersight
