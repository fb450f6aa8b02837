#include "page/svg_canvas.h"

#include <cmath>
#include <cstddef>

#include "base/markup.h"
#include "base/text.h"
#include "imaging/jpeg_file.h"

namespace tapersight {
namespace {

constexpr int kQuality = 80;
constexpr double kWidestLetter = 0.68;  // of the size: capitals of common sans-serif faces, in the mean
constexpr double kBoldIsWider = 1.08;

std::string number(double value) {
  std::string digits = fixed(value, 1);
  if (digits.compare(digits.size() - 2, 2, ".0") == 0) digits.resize(digits.size() - 2);
  return digits;
}

std::string point(const PointPx& p) {
  return number(p.x) + " " + number(p.y);
}

std::string attribute(const char* name, const std::string& value) {
  return " " + std::string(name) + "=\"" + value + "\"";
}

std::string hex(const Colour& colour) {
  std::string text = "#";
  for (const double part : {colour.red, colour.green, colour.blue}) {
    const auto level = static_cast<unsigned>(std::lround(part * 255)) & 255U;
    text += {"0123456789abcdef"[level >> 4], "0123456789abcdef"[level & 15U]};
  }
  return text;
}

std::string place(const RectPx& rect) {
  return attribute("x", number(rect.x)) + attribute("y", number(rect.y)) +
         attribute("width", number(rect.width)) + attribute("height", number(rect.height));
}

std::string path_of(const std::vector<PointPx>& points) {
  std::string data;
  for (const PointPx& p : points) data += (data.empty() ? "M" : "L") + point(p);
  return data;
}

std::string circle(const PointPx& centre, double radius) {
  const std::string r = number(radius), across = number(2 * radius);
  return "M" + number(centre.x - radius) + " " + number(centre.y) + "a" + r + " " + r + " 0 1 0 " + across +
         " 0a" + r + " " + r + " 0 1 0 -" + across + " 0";
}

}  // namespace

bool SvgCanvas::Pen::operator==(const Pen& other) const {
  return colour == other.colour && line_px == other.line_px && more == other.more && filled == other.filled;
}

void SvgCanvas::put_path() {
  if (data_.empty()) return;
  shapes_ += "<path" + attribute("d", data_);
  if (pen_.filled)
    shapes_ += attribute("fill", pen_.colour);
  else
    shapes_ += attribute("fill", "none") + attribute("stroke", pen_.colour) +
               attribute("stroke-width", number(pen_.line_px)) + attribute("stroke-linejoin", "round");
  shapes_ += pen_.more + "/>";
  data_.clear();
}

void SvgCanvas::draw(const Pen& pen, const std::string& data) {
  if (!(pen == pen_)) put_path();
  pen_ = pen;
  data_ += data;
}

void SvgCanvas::clip(const RectPx& rect) {
  put_path();
  // An inner svg shows nothing outside of itself, and keeps the outer one's numbers by its view.
  shapes_ += "<svg" + place(rect) +
             attribute("viewBox", number(rect.x) + " " + number(rect.y) + " " + number(rect.width) + " " +
                                      number(rect.height)) +
             ">";
}

void SvgCanvas::unclip() {
  put_path();
  shapes_ += "</svg>";
}

void SvgCanvas::fill(const RectPx& rect, const Colour& colour) {
  put_path();
  shapes_ += "<rect" + place(rect) + attribute("fill", hex(colour)) + "/>";
}

void SvgCanvas::frame(const RectPx& rect, const Colour& colour, double line_px) {
  put_path();
  shapes_ += "<rect" + place(rect) + attribute("fill", "none") + attribute("stroke", hex(colour)) +
             attribute("stroke-width", number(line_px)) + "/>";
}

void SvgCanvas::line(const std::vector<PointPx>& points, const Colour& colour, double line_px, bool dashed) {
  const std::string dashes =
      dashed ? attribute("stroke-dasharray", number(4 * line_px) + " " + number(3 * line_px)) : std::string();
  draw({hex(colour), line_px, dashes, false}, path_of(points));
}

void SvgCanvas::polygon(const std::vector<PointPx>& points, const Colour& colour, double line_px) {
  draw({hex(colour), line_px, {}, false}, path_of(points) + "Z");
}

void SvgCanvas::fill_polygon(const std::vector<PointPx>& points, const Colour& colour) {
  draw({hex(colour), 0, {}, true}, path_of(points) + "Z");
}

// A line of no length with round ends: the shortest that a dot can be written.
void SvgCanvas::dot(const PointPx& centre, double radius_px, const Colour& colour) {
  draw({hex(colour), 2 * radius_px, attribute("stroke-linecap", "round"), false}, "M" + point(centre) + "h0");
}

void SvgCanvas::ring(const PointPx& centre, double radius_px, const Colour& colour, double line_px) {
  draw({hex(colour), line_px, {}, false}, circle(centre, radius_px));
}

void SvgCanvas::cross(const PointPx& centre, double half_px, const Colour& colour, double line_px) {
  const std::string across = number(2 * half_px);
  draw({hex(colour), line_px, {}, false}, "M" + number(centre.x - half_px) + " " +
                                              number(centre.y - half_px) + "l" + across + " " + across +
                                              "m-" + across + " 0l" + across + " -" + across);
}

void SvgCanvas::text(const PointPx& anchor, const std::string& words, const TextStyle& style) {
  put_path();
  const char* anchors[] = {"start", "middle", "end"};
  shapes_ += "<text" + attribute("x", number(anchor.x)) + attribute("y", number(anchor.y)) +
             attribute("fill", hex(style.colour)) + attribute("font-size", number(style.size_px)) +
             attribute("text-anchor", anchors[static_cast<int>(style.align)]);
  if (style.bold) shapes_ += attribute("font-weight", "bold");
  if (style.angle_rad != 0)
    shapes_ +=
        attribute("transform", "rotate(" + number(style.angle_rad * 180 / M_PI) + " " + point(anchor) + ")");
  shapes_ += ">" + html_escape(words) + "</text>";
}

double SvgCanvas::text_width(const std::string& words, const TextStyle& style) const {
  const auto letters = static_cast<double>(words.size());
  return letters * style.size_px * kWidestLetter * (style.bold ? kBoldIsWider : 1);
}

void SvgCanvas::picture(const cv::Mat& grey, int x, int y) {
  put_path();
  const Result<std::string> jpeg = encode_jpeg(grey, kQuality);
  failed_ = failed_ || !jpeg;
  if (!jpeg) return;
  shapes_ += "<image" + place({double(x), double(y), double(grey.cols), double(grey.rows)}) +
             attribute("href", "data:image/jpeg;base64," + base64(*jpeg)) + "/>";
}

Result<Markup> SvgCanvas::drawing(const std::string& alt) {
  if (failed_)
    return Failure{"page-not-drawn", "The picture could not be put into the page.",
                   "Measure without --report."};
  put_path();
  const std::string width = std::to_string(width_px_), height = std::to_string(height_px_);
  return element("svg",
                 {{"class", "seen"},
                  {"viewBox", "0 0 " + width + " " + height},
                  {"width", width},
                  {"height", height},
                  {"font-family", "sans-serif"},
                  {"role", "img"},
                  {"aria-label", alt}},
                 trusted(shapes_));
}

}  // namespace tapersight
