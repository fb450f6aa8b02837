#include "print/page_drawing.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>

namespace tapersight {
namespace {

constexpr double kPointsPerMm = 72 / 25.4;

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

void fill_triangle(cairo_t* cr, double x, double y, double half_width, double height) {
  cairo_move_to(cr, x - half_width, y);
  cairo_line_to(cr, x + half_width, y);
  cairo_line_to(cr, x, y + height);
  cairo_close_path(cr);
  cairo_fill(cr);
}

void put_text(cairo_t* cr, double x, double y, double size_mm, const std::string& text, Align align,
              double angle, bool bold) {
  cairo_save(cr);
  cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                         bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(cr, size_mm);
  cairo_translate(cr, x, y);
  cairo_rotate(cr, angle);
  double shift = 0;
  if (align == Align::kCentre) {
    cairo_text_extents_t extents;
    cairo_text_extents(cr, text.c_str(), &extents);
    shift = -extents.x_advance / 2;
  }
  cairo_move_to(cr, shift, 0);
  cairo_show_text(cr, text.c_str());
  cairo_restore(cr);
}

std::optional<Failure> drawing_trouble(cairo_t* cr, cairo_surface_t* surface) {
  for (const cairo_status_t status : {cairo_status(cr), cairo_surface_status(surface)})
    if (status != CAIRO_STATUS_SUCCESS)
      return Failure{"sheet-not-drawn",
                     std::string("The sheet could not be drawn: ") + cairo_status_to_string(status) + ".",
                     "Try another format or a lower --dpi."};
  return std::nullopt;
}

Result<std::string> draw_pages(const PageSize& size, const std::string& title,
                               const std::vector<PagePainter>& pages, bool pdf) {
  std::string bytes;
  const double w = size.width_mm;
  const double h = size.height_mm;
  const SurfacePtr surface(
      pdf ? cairo_pdf_surface_create_for_stream(append, &bytes, w * kPointsPerMm, h * kPointsPerMm)
          : cairo_svg_surface_create_for_stream(append, &bytes, w, h),
      cairo_surface_destroy);
  if (pdf) {
    // A fixed date: the same sheet is the same file.
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "2026-01-01T00:00:00Z");
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
  } else {
    cairo_svg_surface_set_document_unit(surface.get(), CAIRO_SVG_UNIT_MM);
  }
  const ContextPtr cr(cairo_create(surface.get()), cairo_destroy);
  if (pdf) cairo_scale(cr.get(), kPointsPerMm, kPointsPerMm);
  for (const PagePainter& page : pages) {
    page(cr.get());
    cairo_show_page(cr.get());
  }
  cairo_surface_finish(surface.get());
  if (const auto failure = drawing_trouble(cr.get(), surface.get())) return *failure;
  return bytes;
}

}  // namespace tapersight
