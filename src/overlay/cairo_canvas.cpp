#include "overlay/cairo_canvas.h"

#include <cairo.h>

#include <cmath>
#include <cstdint>
#include <cstring>

#include "imaging/png_file.h"

namespace tapersight {

struct CairoCanvas::Surface {
  Surface(int width, int height)
      : image(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height)), cr(cairo_create(image)) {}
  ~Surface() {
    cairo_destroy(cr);
    cairo_surface_destroy(image);
  }
  Surface(const Surface&) = delete;
  Surface& operator=(const Surface&) = delete;

  void use(const Colour& c) const { cairo_set_source_rgba(cr, c.red, c.green, c.blue, c.alpha); }
  void path(const std::vector<PointPx>& points) const {
    cairo_new_path(cr);
    for (const PointPx& p : points) cairo_line_to(cr, p.x, p.y);
  }
  void use_font(const TextStyle& style) const {
    cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                           style.bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cr, style.size_px);
  }

  cairo_surface_t* image;
  cairo_t* cr;
};

CairoCanvas::CairoCanvas(int width_px, int height_px, const Colour& ground)
    : surface_(std::make_unique<Surface>(width_px, height_px)), width_px_(width_px), height_px_(height_px) {
  surface_->use(ground);
  cairo_paint(surface_->cr);
  cairo_set_line_join(surface_->cr, CAIRO_LINE_JOIN_ROUND);
}

CairoCanvas::~CairoCanvas() = default;

void CairoCanvas::clip(const RectPx& rect) {
  cairo_save(surface_->cr);
  cairo_rectangle(surface_->cr, rect.x, rect.y, rect.width, rect.height);
  cairo_clip(surface_->cr);
}

void CairoCanvas::unclip() {
  cairo_restore(surface_->cr);
}

void CairoCanvas::fill(const RectPx& rect, const Colour& colour) {
  surface_->use(colour);
  cairo_rectangle(surface_->cr, rect.x, rect.y, rect.width, rect.height);
  cairo_fill(surface_->cr);
}

void CairoCanvas::frame(const RectPx& rect, const Colour& colour, double line_px) {
  surface_->use(colour);
  cairo_set_line_width(surface_->cr, line_px);
  cairo_rectangle(surface_->cr, rect.x, rect.y, rect.width, rect.height);
  cairo_stroke(surface_->cr);
}

void CairoCanvas::line(const std::vector<PointPx>& points, const Colour& colour, double line_px,
                       bool dashed) {
  surface_->use(colour);
  cairo_set_line_width(surface_->cr, line_px);
  const double dash[] = {4 * line_px, 3 * line_px};
  cairo_set_dash(surface_->cr, dash, dashed ? 2 : 0, 0);
  surface_->path(points);
  cairo_stroke(surface_->cr);
  cairo_set_dash(surface_->cr, nullptr, 0, 0);
}

void CairoCanvas::polygon(const std::vector<PointPx>& points, const Colour& colour, double line_px) {
  surface_->use(colour);
  cairo_set_line_width(surface_->cr, line_px);
  surface_->path(points);
  cairo_close_path(surface_->cr);
  cairo_stroke(surface_->cr);
}

void CairoCanvas::fill_polygon(const std::vector<PointPx>& points, const Colour& colour) {
  surface_->use(colour);
  surface_->path(points);
  cairo_close_path(surface_->cr);
  cairo_fill(surface_->cr);
}

void CairoCanvas::dot(const PointPx& centre, double radius_px, const Colour& colour) {
  surface_->use(colour);
  cairo_new_path(surface_->cr);
  cairo_arc(surface_->cr, centre.x, centre.y, radius_px, 0, 2 * M_PI);
  cairo_fill(surface_->cr);
}

void CairoCanvas::ring(const PointPx& centre, double radius_px, const Colour& colour, double line_px) {
  surface_->use(colour);
  cairo_set_line_width(surface_->cr, line_px);
  cairo_new_path(surface_->cr);
  cairo_arc(surface_->cr, centre.x, centre.y, radius_px, 0, 2 * M_PI);
  cairo_stroke(surface_->cr);
}

void CairoCanvas::cross(const PointPx& centre, double half_px, const Colour& colour, double line_px) {
  line({{centre.x - half_px, centre.y - half_px}, {centre.x + half_px, centre.y + half_px}}, colour, line_px);
  line({{centre.x - half_px, centre.y + half_px}, {centre.x + half_px, centre.y - half_px}}, colour, line_px);
}

void CairoCanvas::text(const PointPx& anchor, const std::string& words, const TextStyle& style) {
  cairo_t* cr = surface_->cr;
  cairo_save(cr);
  surface_->use(style.colour);
  cairo_translate(cr, anchor.x, anchor.y);
  cairo_rotate(cr, style.angle_rad);
  const double width = text_width(words, style);
  surface_->use_font(style);
  cairo_move_to(cr,
                style.align == TextAlign::kLeft     ? 0
                : style.align == TextAlign::kCentre ? -width / 2
                                                    : -width,
                0);
  cairo_show_text(cr, words.c_str());
  cairo_new_path(cr);
  cairo_restore(cr);
}

double CairoCanvas::text_width(const std::string& words, const TextStyle& style) const {
  cairo_save(surface_->cr);
  cairo_identity_matrix(surface_->cr);
  surface_->use_font(style);
  cairo_text_extents_t extents;
  cairo_text_extents(surface_->cr, words.c_str(), &extents);
  cairo_restore(surface_->cr);
  return extents.x_advance;
}

void CairoCanvas::picture(const cv::Mat& grey, int x, int y) {
  cairo_surface_flush(surface_->image);
  unsigned char* pixels = cairo_image_surface_get_data(surface_->image);
  const int stride = cairo_image_surface_get_stride(surface_->image);
  for (int row = std::max(0, -y); row < grey.rows && row + y < height_px_; ++row)
    for (int column = std::max(0, -x); column < grey.cols && column + x < width_px_; ++column) {
      unsigned char* pixel = pixels + static_cast<std::ptrdiff_t>(row + y) * stride + 4L * (column + x);
      pixel[0] = pixel[1] = pixel[2] = grey.at<unsigned char>(row, column);
    }
  cairo_surface_mark_dirty(surface_->image);
}

namespace {

// PNG's own checksum (ISO/IEC 15948, annex D: CRC-32).
std::uint32_t png_crc(const std::string& bytes) {
  std::uint32_t crc = 0xffffffffU;
  for (const char c : bytes) {
    crc ^= static_cast<unsigned char>(c);
    for (int bit = 0; bit < 8; ++bit) crc = (crc & 1U) != 0 ? 0xedb88320U ^ (crc >> 1) : crc >> 1;
  }
  return ~crc;
}

std::string big_endian(std::uint32_t value) {
  std::string bytes;
  for (const int shift : {24, 16, 8, 0}) bytes += static_cast<char>(value >> shift & 255U);
  return bytes;
}

// Says in the file which program drew it (keyword "Software", ISO/IEC 15948, 11.3.4.2): a later run may then
// replace it.
std::string signed_png(const std::string& png) {
  constexpr std::size_t kBehindHeader = 33;  // signature 8, IHDR 4 + 4 + 13 + 4
  const std::string chunk = std::string("tEXtSoftware") + '\0' + "tapersight";
  return png.substr(0, kBehindHeader) + big_endian(static_cast<std::uint32_t>(chunk.size() - 4)) + chunk +
         big_endian(png_crc(chunk)) + png.substr(kBehindHeader);
}

}  // namespace

Result<std::string> CairoCanvas::png() const {
  const cairo_status_t status = cairo_status(surface_->cr);
  // A batch spends more time on squeezing than on measuring, were it left at the usual 6.
  if (status == CAIRO_STATUS_SUCCESS)
    if (auto bytes = encode_png_colour(blue_green_red(), 2)) return signed_png(*bytes);
  return Failure{"overlay-not-drawn",
                 std::string("The overlay could not be drawn: ") + cairo_status_to_string(status) + ".",
                 "Measure without --overlay."};
}

cv::Mat CairoCanvas::blue_green_red() const {
  cairo_surface_flush(surface_->image);
  const unsigned char* pixels = cairo_image_surface_get_data(surface_->image);
  const int stride = cairo_image_surface_get_stride(surface_->image);
  cv::Mat colour(height_px_, width_px_, CV_8UC3);
  for (int row = 0; row < height_px_; ++row)
    for (int column = 0; column < width_px_; ++column) {
      // RGB24 is a whole number in the processor's order (Cairo's manual, cairo_format_t).
      std::uint32_t pixel = 0;
      std::memcpy(&pixel, pixels + static_cast<std::ptrdiff_t>(row) * stride + 4L * column, sizeof pixel);
      colour.at<cv::Vec3b>(row, column) = {static_cast<unsigned char>(pixel & 255),
                                           static_cast<unsigned char>(pixel >> 8 & 255),
                                           static_cast<unsigned char>(pixel >> 16 & 255)};
    }
  return colour;
}

}  // namespace tapersight
