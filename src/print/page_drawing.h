// Printed pages in Cairo: what the sheet's and the tags' drawings share. Only for this folder.
#pragma once
#include <cairo.h>

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace tapersight {

using SurfacePtr = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using ContextPtr = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

void fill_triangle(cairo_t* cr, double x, double y, double half_width, double height);

enum class Align { kStart, kCentre };

// Text with its baseline starting (or centred) at (x, y), turned by `angle` (radians, clockwise as seen).
void put_text(cairo_t* cr, double x, double y, double size_mm, const std::string& text,
              Align align = Align::kStart, double angle = 0, bool bold = false);

struct PageSize {
  double width_mm = 0, height_mm = 0;
};
using PagePainter = std::function<void(cairo_t*)>;  // draws in mm from the page's top left corner

// PDF, or SVG when `pdf` is false (one page). The same bytes for the same arguments. Failure
// "sheet-not-drawn".
Result<std::string> draw_pages(const PageSize& size, const std::string& title,
                               const std::vector<PagePainter>& pages, bool pdf);

// Failure "sheet-not-drawn".
std::optional<Failure> drawing_trouble(cairo_t* cr, cairo_surface_t* surface);

}  // namespace tapersight
