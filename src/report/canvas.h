// A drawing surface in colour, for the overlay: Cairo behind a few words. Units px, (0, 0) the top left
// corner of the top left pixel, x to the right, y down.
#pragma once
#include <memory>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/result.h"

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

class Canvas {
 public:
  Canvas(int width_px, int height_px, const Colour& ground);
  ~Canvas();
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;

  int width_px() const { return width_px_; }
  int height_px() const { return height_px_; }

  void clip(const RectPx& rect);  // until unclip
  void unclip();
  void fill(const RectPx& rect, const Colour& colour);
  void frame(const RectPx& rect, const Colour& colour, double line_px);
  void line(const std::vector<PointPx>& points, const Colour& colour, double line_px, bool dashed = false);
  void polygon(const std::vector<PointPx>& points, const Colour& colour, double line_px);
  void fill_polygon(const std::vector<PointPx>& points, const Colour& colour);
  void dot(const PointPx& centre, double radius_px, const Colour& colour);
  void ring(const PointPx& centre, double radius_px, const Colour& colour, double line_px);
  void cross(const PointPx& centre, double half_px, const Colour& colour, double line_px);
  // The baseline starts, is centred or ends at `anchor`.
  void text(const PointPx& anchor, const std::string& words, const TextStyle& style);
  double text_width(const std::string& words, const TextStyle& style) const;
  // A grey picture (CV_8UC1), one pixel a pixel, its top left corner at (x, y).
  void picture(const cv::Mat& grey, int x, int y);

  // PNG bytes, the same for the same drawing. Failure "overlay-not-drawn".
  Result<std::string> png() const;
  // What is drawn so far, CV_8UC3 in OpenCV's order.
  cv::Mat blue_green_red() const;

 private:
  struct Surface;
  std::unique_ptr<Surface> surface_;
  int width_px_, height_px_;
};

}  // namespace tapersight
