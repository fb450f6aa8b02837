// A canvas of pixels, by Cairo.
#pragma once
#include <memory>
#include <string>

#include "base/result.h"
#include "report/canvas.h"

namespace tapersight {

class CairoCanvas final : public Canvas {
 public:
  CairoCanvas(int width_px, int height_px, const Colour& ground);
  ~CairoCanvas() override;

  void clip(const RectPx& rect) override;
  void unclip() override;
  void fill(const RectPx& rect, const Colour& colour) override;
  void frame(const RectPx& rect, const Colour& colour, double line_px) override;
  void line(const std::vector<PointPx>& points, const Colour& colour, double line_px,
            bool dashed = false) override;
  void polygon(const std::vector<PointPx>& points, const Colour& colour, double line_px) override;
  void fill_polygon(const std::vector<PointPx>& points, const Colour& colour) override;
  void dot(const PointPx& centre, double radius_px, const Colour& colour) override;
  void ring(const PointPx& centre, double radius_px, const Colour& colour, double line_px) override;
  void cross(const PointPx& centre, double half_px, const Colour& colour, double line_px) override;
  void text(const PointPx& anchor, const std::string& words, const TextStyle& style) override;
  double text_width(const std::string& words, const TextStyle& style) const override;
  void picture(const cv::Mat& grey, int x, int y) override;

  // PNG bytes, the same for the same drawing. Failure "overlay-not-drawn".
  Result<std::string> png() const;

 private:
  cv::Mat blue_green_red() const;  // what is drawn so far, CV_8UC3 in OpenCV's order

  struct Surface;
  std::unique_ptr<Surface> surface_;
  int width_px_, height_px_;
};

}  // namespace tapersight
