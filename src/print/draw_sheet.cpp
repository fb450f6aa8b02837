#include "print/draw_sheet.h"

#include <cmath>
#include <utility>
#include <vector>

#include "base/text.h"
#include "imaging/png_file.h"
#include "print/page_drawing.h"

namespace tapersight {
namespace {

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

void draw_bar(cairo_t* cr, const CheckBar& bar) {
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
}

// Beside the bar's middle.
void draw_bar_label(cairo_t* cr, const CheckBar& bar, const std::string& label) {
  const Eigen::Vector2d along = (bar.to_mm - bar.from_mm).normalized();
  const Eigen::Vector2d at = (bar.from_mm + bar.to_mm) / 2 + 0.6 * Eigen::Vector2d(along.y(), -along.x());
  put_text(cr, at.x(), at.y(), 2.2, label, Align::kCentre, std::atan2(along.y(), along.x()));
}

std::string bar_label(const std::string& axis, const CheckBar& bar) {
  return "check bar " + axis + ": " + fixed(bar.length_mm() / 25.4, 0) +
         " in = " + fixed(bar.length_mm(), 1) + " mm between the end ticks";
}

void draw_words(cairo_t* cr, const SheetLayout& layout, ChannelGround ground) {
  const double middle = layout.page_width_mm / 2;
  const double down = M_PI / 2;
  const double right = layout.blocks[1].right() + 8;
  const bool dark = ground == ChannelGround::kDark;
  const char* lines[] = {
      "Print at ACTUAL SIZE (100 %), never \"fit to page\"; check both bars with a rule. Do not photocopy.",
      dark ? "For photos of light wood (pine, maple, MDF); dark wood shows better on the sheet with the open "
             "channel."
           : "Scanner: cut out the channel, lay sheet and strip face down on the glass, the strip in the "
             "channel.",
      dark ? "Lay the sheet flat and the strip on the black channel; turn the sheet if the black shines."
           : "Photo: leave the channel as blank paper, lay the sheet flat and the strip in the channel.",
      "Write FENCE on both faces of the end that touched the fence. Cut one corner off the other end, the "
      "far "
      "end.",
      "Unplug the saw before you touch the fence. Hold small pieces with a hold-down, hands clear of the "
      "blade."};
  double x = right + 16;
  put_text(cr, x, 30, 4.2, "Tapersight sheet " + layout.id + (dark ? ", dark channel" : "") + ", revision 1",
           Align::kStart, down, true);
  for (const char* text : lines) put_text(cr, x -= 4.2, 30, 3.0, text, Align::kStart, down);
  for (const auto& [axis, bar] : {std::pair("x", layout.bar_x), std::pair("y", layout.bar_y)}) {
    draw_bar(cr, bar);
    draw_bar_label(cr, bar, bar_label(axis, bar));
  }
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

// The wide sheet has no room beside its chessboards: what is to be read stands in the channel, on the piece
// that is cut out, and what has to stay on the sheet above and below.
void draw_wide_words(cairo_t* cr, const SheetLayout& layout) {
  const double middle = layout.page_width_mm / 2;
  draw_bar(cr, layout.bar_x);
  draw_bar(cr, layout.bar_y);
  const double above = layout.bar_x.from_mm.y() - 1.9;
  put_text(cr, middle, above, 2.2,
           "sheet " + layout.id + ", revision 1; " + bar_label("x", layout.bar_x) +
               "; check bar y, along the left side: " + fixed(layout.bar_y.length_mm() / 25.4, 0) + " in",
           Align::kCentre);
  const double below = layout.channel.bottom() + 3.6;
  put_text(cr, middle, below, 3.2, "FENCE END of strips without a tag at this end", Align::kCentre, 0, true);
  for (const double side : {middle - 50, middle + 50}) fill_triangle(cr, side, below - 2.4, 3, 3);
  const char* lines[] = {
      "Print at ACTUAL SIZE (100 %), never \"fit to page\"; check both bars with a rule. Do not photocopy.",
      "Cut this piece out along the grey line; the chessboards stay on the sheet.",
      "On the scanner: sheet face down on the glass, the strips side by side in the channel, a finger's",
      "width apart. At the fence end of each strip its tag, face down, the pointer touching the strip.",
      "Without tags one strip only, its fence end at the end marked FENCE END.",
      "Write FENCE on both faces of the end that touched the fence: on the glass one is hidden.",
      "Cut one corner off the other end, the far end. The program looks for it.",
      "Unplug the saw before you touch the fence.",
      "Hold small pieces with a hold-down, hands clear of the blade."};
  double y = layout.channel.y + 40;
  put_text(cr, middle, y, 4.2, "Tapersight sheet " + layout.id + " for several strips", Align::kCentre, 0,
           true);
  for (const char* text : lines) put_text(cr, middle, y += 6, 2.9, text, Align::kCentre);
}

void draw_all(cairo_t* cr, const SheetLayout& layout, ChannelGround ground) {
  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_paint(cr);
  cairo_set_source_rgb(cr, 0, 0, 0);
  draw_fiducials(cr, layout);
  if (layout.kind == Channel::kWide)
    draw_wide_words(cr, layout);
  else
    draw_words(cr, layout, ground);
  const RectMm& channel = layout.channel;
  if (ground == ChannelGround::kDark) {
    cairo_rectangle(cr, channel.x, channel.y, channel.width, channel.height);
    cairo_fill(cr);
    return;
  }
  // Where the knife goes: a hairline just outside the channel, which itself stays blank.
  cairo_set_source_rgb(cr, 0.6, 0.6, 0.6);
  cairo_set_line_width(cr, 0.15);
  cairo_rectangle(cr, channel.x, channel.y, channel.width, channel.height);
  cairo_stroke(cr);
}

Result<std::string> draw_png(const SheetLayout& layout, double dpi, ChannelGround ground) {
  const double px_per_mm = dpi / 25.4;
  const int width = static_cast<int>(std::lround(layout.page_width_mm * px_per_mm));
  const int height = static_cast<int>(std::lround(layout.page_height_mm * px_per_mm));
  const SurfacePtr surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height),
                           cairo_surface_destroy);
  const ContextPtr cr(cairo_create(surface.get()), cairo_destroy);
  cairo_scale(cr.get(), px_per_mm, px_per_mm);
  draw_all(cr.get(), layout, ground);
  cairo_surface_flush(surface.get());
  if (const auto failure = drawing_trouble(cr.get(), surface.get())) return *failure;
  const unsigned char* pixels = cairo_image_surface_get_data(surface.get());
  const int stride = cairo_image_surface_get_stride(surface.get());
  std::vector<unsigned char> grey(static_cast<std::size_t>(width) * height);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x)
      grey[static_cast<std::size_t>(y) * width + x] = pixels[static_cast<std::size_t>(y) * stride + 4 * x];
  return encode_png_grey(grey.data(), width, height, dpi);
}

}  // namespace

Result<std::string> draw_sheet(const SheetLayout& layout, SheetFormat format, double dpi,
                               ChannelGround ground) {
  if (format == SheetFormat::kPng) return draw_png(layout, dpi, ground);
  return draw_pages({layout.page_width_mm, layout.page_height_mm}, "Tapersight sheet " + layout.id,
                    {[&](cairo_t* cr) { draw_all(cr, layout, ground); }}, format == SheetFormat::kPdf);
}

}  // namespace tapersight
