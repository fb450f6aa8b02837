#include "target/draw_sheet.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>

#include <cmath>
#include <memory>

#include "base/text.h"
#include "imaging/png_file.h"

namespace tapersight {
namespace {

constexpr double kPointsPerMm = 72 / 25.4;

using SurfacePtr = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using ContextPtr = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

void fill_triangle(cairo_t* cr, double x, double y, double half_width, double height) {
  cairo_move_to(cr, x - half_width, y);
  cairo_line_to(cr, x + half_width, y);
  cairo_line_to(cr, x, y + height);
  cairo_close_path(cr);
  cairo_fill(cr);
}

enum class Align { kStart, kCentre };

// Text with its baseline starting (or centred) at (x, y), turned by `angle` (radians, clockwise as seen).
void put_text(cairo_t* cr, double x, double y, double size_mm, const std::string& text,
              Align align = Align::kStart, double angle = 0, bool bold = false) {
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

// All black of the fiducials as one path: one fill has no seams between neighbours.
void draw_fiducials(cairo_t* cr, const SheetLayout& layout) {
  for (const RectMm& block : layout.blocks) {
    const int columns = static_cast<int>(std::lround((block.width - 2 * layout.rim_mm) / layout.square_mm));
    const int rows = static_cast<int>(std::lround((block.height - 2 * layout.rim_mm) / layout.square_mm));
    for (int r = 0; r <= rows + 1; ++r)
      for (int c = 0; c <= columns + 1; ++c) {
        const double x0 = c == 0 ? block.x : block.x + layout.rim_mm + (c - 1) * layout.square_mm;
        const double y0 = r == 0 ? block.y : block.y + layout.rim_mm + (r - 1) * layout.square_mm;
        const double w = c == 0 || c == columns + 1 ? layout.rim_mm : layout.square_mm;
        const double h = r == 0 || r == rows + 1 ? layout.rim_mm : layout.square_mm;
        if (layout.fiducial_ink_at({x0 + 0.05 * w, y0 + 0.05 * h})) cairo_rectangle(cr, x0, y0, w, h);
      }
  }
  for (const Marker& marker : layout.markers) {
    const double module = marker.side_mm / kMarkerModules;
    const double x0 = marker.centre_mm.x() - marker.side_mm / 2;
    const double y0 = marker.centre_mm.y() - marker.side_mm / 2;
    for (int r = 0; r < kMarkerModules; ++r)
      for (int c = 0; c < kMarkerModules; ++c)
        if (layout.fiducial_ink_at({x0 + (c + 0.5) * module, y0 + (r + 0.5) * module}))
          cairo_rectangle(cr, x0 + c * module, y0 + r * module, module, module);
  }
  cairo_fill(cr);
}

void draw_bar(cairo_t* cr, const CheckBar& bar, const std::string& label) {
  const Eigen::Vector2d along = (bar.to_mm - bar.from_mm).normalized();
  const Eigen::Vector2d across(along.y(), -along.x());
  const auto line = [&](const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
    cairo_move_to(cr, a.x(), a.y());
    cairo_line_to(cr, b.x(), b.y());
    cairo_stroke(cr);
  };
  cairo_set_line_width(cr, 0.2);
  // The end ticks' middle lines are the ends of the bar.
  line(bar.from_mm, bar.to_mm);
  line(bar.from_mm - 1.2 * across, bar.from_mm + 1.2 * across);
  line(bar.to_mm - 1.2 * across, bar.to_mm + 1.2 * across);
  const Eigen::Vector2d middle = (bar.from_mm + bar.to_mm) / 2 + 0.6 * across;
  put_text(cr, middle.x(), middle.y(), 2.2, label, Align::kCentre, std::atan2(along.y(), along.x()));
}

std::string bar_label(const std::string& axis, const CheckBar& bar) {
  return "check bar " + axis + ": " + fixed(bar.length_mm() / 25.4, 0) +
         " in = " + fixed(bar.length_mm(), 1) + " mm between the end ticks";
}

void draw_words(cairo_t* cr, const SheetLayout& layout) {
  const double middle = layout.page_width_mm / 2;
  const double down = M_PI / 2;
  const double right = layout.blocks[1].right() + 8;
  const char* lines[] = {
      "Print at ACTUAL SIZE (100 %), never \"fit to page\"; check both bars with a rule. Do not photocopy.",
      "Scanner: cut out the channel, lay sheet and strip face down on the glass, the strip in the channel.",
      "Photo: leave the channel as blank paper, lay the sheet flat and the strip in the channel.",
      "Unplug the saw before you touch the fence. Hold small pieces with a hold-down, hands clear of the "
      "blade."};
  double x = right + 15;
  put_text(cr, x, 30, 4.2, "Tapersight sheet " + layout.id + ", revision 1", Align::kStart, down, true);
  for (const char* text : lines) put_text(cr, x -= 5, 30, 3.0, text, Align::kStart, down);
  draw_bar(cr, layout.bar_x, bar_label("x", layout.bar_x));
  draw_bar(cr, layout.bar_y, bar_label("y", layout.bar_y));
  // The fence end: words and a wedge at the bottom of both sides, nothing at the top.
  const double bottom = layout.blocks[0].bottom();
  for (const double side : {layout.blocks[0].x - 24, layout.blocks[1].right() + 24}) {
    put_text(cr, side, bottom - 16, 4.2, "FENCE END", Align::kCentre, 0, true);
    put_text(cr, side, bottom - 11.5, 3.2, "of the strip here", Align::kCentre);
    fill_triangle(cr, side, bottom - 9.5, 9, 9);
  }
  put_text(cr, middle, layout.channel.bottom() + 3.6, 3.2, "FENCE END of the strip at this end",
           Align::kCentre, 0, true);
}

void draw_all(cairo_t* cr, const SheetLayout& layout) {
  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_paint(cr);
  cairo_set_source_rgb(cr, 0, 0, 0);
  draw_fiducials(cr, layout);
  draw_words(cr, layout);
  // Where the knife goes: a hairline just outside the channel, which itself stays blank.
  cairo_set_source_rgb(cr, 0.6, 0.6, 0.6);
  cairo_set_line_width(cr, 0.15);
  cairo_rectangle(cr, layout.channel.x, layout.channel.y, layout.channel.width, layout.channel.height);
  cairo_stroke(cr);
}

Failure not_drawn(cairo_status_t status) {
  return {"sheet-not-drawn",
          std::string("The sheet could not be drawn: ") + cairo_status_to_string(status) + ".",
          "Try another format or a lower --dpi."};
}

Result<std::string> draw_vector(const SheetLayout& layout, bool pdf) {
  std::string bytes;
  const double w = layout.page_width_mm;
  const double h = layout.page_height_mm;
  SurfacePtr surface(
      pdf ? cairo_pdf_surface_create_for_stream(append, &bytes, w * kPointsPerMm, h * kPointsPerMm)
          : cairo_svg_surface_create_for_stream(append, &bytes, w, h),
      cairo_surface_destroy);
  if (pdf) {
    // A fixed date: the same sheet is the same file.
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "2026-01-01T00:00:00Z");
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE,
                                   ("Tapersight sheet " + layout.id).c_str());
  } else {
    cairo_svg_surface_set_document_unit(surface.get(), CAIRO_SVG_UNIT_MM);
  }
  ContextPtr cr(cairo_create(surface.get()), cairo_destroy);
  if (pdf) cairo_scale(cr.get(), kPointsPerMm, kPointsPerMm);
  draw_all(cr.get(), layout);
  cairo_show_page(cr.get());
  cairo_surface_finish(surface.get());
  for (const cairo_status_t status : {cairo_status(cr.get()), cairo_surface_status(surface.get())})
    if (status != CAIRO_STATUS_SUCCESS) return not_drawn(status);
  return bytes;
}

Result<std::string> draw_png(const SheetLayout& layout, double dpi) {
  const double px_per_mm = dpi / 25.4;
  const int width = static_cast<int>(std::lround(layout.page_width_mm * px_per_mm));
  const int height = static_cast<int>(std::lround(layout.page_height_mm * px_per_mm));
  SurfacePtr surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height), cairo_surface_destroy);
  ContextPtr cr(cairo_create(surface.get()), cairo_destroy);
  cairo_scale(cr.get(), px_per_mm, px_per_mm);
  draw_all(cr.get(), layout);
  cairo_surface_flush(surface.get());
  for (const cairo_status_t status : {cairo_status(cr.get()), cairo_surface_status(surface.get())})
    if (status != CAIRO_STATUS_SUCCESS) return not_drawn(status);
  const unsigned char* pixels = cairo_image_surface_get_data(surface.get());
  const int stride = cairo_image_surface_get_stride(surface.get());
  std::vector<unsigned char> grey(static_cast<std::size_t>(width) * height);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x)
      grey[static_cast<std::size_t>(y) * width + x] = pixels[static_cast<std::size_t>(y) * stride + 4 * x];
  return encode_png_grey(grey.data(), width, height, dpi);
}

}  // namespace

Result<std::string> draw_sheet(const SheetLayout& layout, SheetFormat format, double dpi) {
  return format == SheetFormat::kPng ? draw_png(layout, dpi)
                                     : draw_vector(layout, format == SheetFormat::kPdf);
}

}  // namespace tapersight
