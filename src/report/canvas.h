// A drawing surface in colour: what the overlay and the page draw on. Units px, (0, 0) the top left corner of
// the top left pixel, x to the right, y down.
#pragma once
#include <opencv2/core.hpp>
#include <string>
#include <vector>

namespace tapersight {

struct Colour {
  double red = 0, green = 0, blue = 0, alpha = 1;  // 0..1
};

struct PointPx {
  double x = 0, y = 0;
};

struct RectPx {
  double x = 0, y = 0, width = 0, height = 0;
  double right() const { return x + width; }
  double bottom() const { return y + height; }
};

enum class TextAlign { kLeft, kCentre, kRight };

struct TextStyle {
  double size_px = 18;
  Colour colour;
  TextAlign align = TextAlign::kLeft;
  bool bold = false;
  double angle_rad = 0;  // clockwise about the anchor
};

// Who draws says what; what it is drawn on decides whether pixels or shapes come of it.
class Canvas {
 public:
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;
  virtual ~Canvas() = default;

  virtual void clip(const RectPx& rect) = 0;  // until unclip
  virtual void unclip() = 0;
  virtual void fill(const RectPx& rect, const Colour& colour) = 0;
  virtual void frame(const RectPx& rect, const Colour& colour, double line_px) = 0;
  virtual void line(const std::vector<PointPx>& points, const Colour& colour, double line_px,
                    bool dashed = false) = 0;
  virtual void polygon(const std::vector<PointPx>& points, const Colour& colour, double line_px) = 0;
  virtual void fill_polygon(const std::vector<PointPx>& points, const Colour& colour) = 0;
  virtual void dot(const PointPx& centre, double radius_px, const Colour& colour) = 0;
  virtual void ring(const PointPx& centre, double radius_px, const Colour& colour, double line_px) = 0;
  virtual void cross(const PointPx& centre, double half_px, const Colour& colour, double line_px) = 0;
  // The baseline starts, is centred or ends at `anchor`.
  virtual void text(const PointPx& anchor, const std::string& words, const TextStyle& style) = 0;
  virtual double text_width(const std::string& words, const TextStyle& style) const = 0;
  // A grey picture (CV_8UC1), one pixel a pixel, its top left corner at (x, y).
  virtual void picture(const cv::Mat& grey, int x, int y) = 0;

 protected:
  Canvas() = default;
};

}  // namespace tapersight
