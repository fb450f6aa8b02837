#include "print/draw_tags.h"

#include <algorithm>

#include "print/page_drawing.h"

namespace tapersight {
namespace {

constexpr double kMarginMm = 12;
constexpr double kHeadMm = 20;  // above the tags: how to use them
constexpr double kGapMm = 2;    // between tags, for the scissors

struct Grid {
  int columns = 0, rows = 0;
  double left = 0, top = kMarginMm + kHeadMm;
};

Grid grid_of(const SheetLayout& page) {
  Grid grid;
  grid.columns = static_cast<int>((page.page_width_mm - 2 * kMarginMm + kGapMm) / (kTagPaper.width + kGapMm));
  grid.rows =
      static_cast<int>((page.page_height_mm - grid.top - kMarginMm + kGapMm) / (kTagPaper.height + kGapMm));
  grid.left = (page.page_width_mm - grid.columns * (kTagPaper.width + kGapMm) + kGapMm) / 2;
  return grid;
}

void draw_tag(cairo_t* cr, int bench) {
  cairo_set_source_rgb(cr, 0, 0, 0);
  for (const RectMm& r : tag_ink(bench)) cairo_rectangle(cr, r.x, r.y, r.width, r.height);
  cairo_fill(cr);
  fill_triangle(cr, 0, kTagPointerBase, kTagPointerHalfWidth, kTagPointerTip - kTagPointerBase);
  put_text(cr, 0, kTagDigitsBase, kTagDigitsMm, std::to_string(bench), Align::kCentre, 0, true);
  cairo_set_source_rgb(cr, 0.6, 0.6, 0.6);
  cairo_set_line_width(cr, 0.15);
  cairo_rectangle(cr, kTagPaper.x, kTagPaper.y, kTagPaper.width, kTagPaper.height);
  cairo_stroke(cr);
}

void draw_page(cairo_t* cr, const Grid& grid, int from, int to) {
  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_paint(cr);
  cairo_set_source_rgb(cr, 0, 0, 0);
  put_text(cr, grid.left, kMarginMm + 4, 4.2,
           "Tapersight tags, bench " + std::to_string(from) + " to " + std::to_string(to), Align::kStart, 0,
           true);
  put_text(
      cr, grid.left, kMarginMm + 10, 2.9,
      "Print at actual size (100 %) and cut out along the grey lines. Lay the tag face down on the glass");
  put_text(cr, grid.left, kMarginMm + 14.5, 2.9,
           "at the fence end of its strip, in the middle of its width, the pointer touching the wood, not "
           "under it.");
  for (int bench = from; bench <= to; ++bench) {
    const int place = bench - from;
    cairo_save(cr);
    cairo_translate(cr, grid.left + (place % grid.columns) * (kTagPaper.width + kGapMm) - kTagPaper.x,
                    grid.top + (place / grid.columns) * (kTagPaper.height + kGapMm) - kTagPaper.y);
    draw_tag(cr, bench);
    cairo_restore(cr);
  }
}

}  // namespace

int tags_per_page(Paper paper) {
  const Grid grid = grid_of(sheet_layout(paper));
  return grid.columns * grid.rows;
}

Result<std::string> draw_tags(int from, int to, Paper paper, bool pdf) {
  if (from < kLeastBench || to > kMostBench || from > to)
    return Failure{"bad-bench-range",
                   "There are no tags from " + std::to_string(from) + " to " + std::to_string(to) + ".",
                   "Give whole bench numbers from 1 to 599, the smaller one first."};
  const int most = tags_per_page(paper);
  if (!pdf && to - from >= most)
    return Failure{"too-many-tags",
                   "An SVG holds one page of " + std::to_string(most) + " tags, not " +
                       std::to_string(to - from + 1) + ".",
                   "Write a PDF, or fewer tags."};
  const SheetLayout& page = sheet_layout(paper);
  const Grid grid = grid_of(page);
  std::vector<PagePainter> pages;
  for (int first = from; first <= to; first += most)
    pages.emplace_back([=](cairo_t* cr) { draw_page(cr, grid, first, std::min(to, first + most - 1)); });
  return draw_pages({page.page_width_mm, page.page_height_mm}, "Tapersight tags", pages, pdf);
}

}  // namespace tapersight
