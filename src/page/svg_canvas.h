// A canvas of shapes: sharp at any zoom, and small. Its pictures lie under the shapes as JPEG.
#pragma once
#include <string>
#include <vector>

#include "base/result.h"
#include "page/html.h"
#include "report/canvas.h"

namespace tapersight {

class SvgCanvas final : public Canvas {
 public:
  SvgCanvas(int width_px, int height_px) : width_px_(width_px), height_px_(height_px) {}

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
  // What any sans-serif letter takes at most, for nobody knows which one a browser has.
  double text_width(const std::string& words, const TextStyle& style) const override;
  void picture(const cv::Mat& grey, int x, int y) override;

  // One image for a screen reader, with `alt` as its words (plain text). Failure "page-not-drawn", when a
  // picture could not be packed.
  Result<Markup> drawing(const std::string& alt);

 private:
  struct Pen {
    std::string colour;
    double line_px = 0;
    std::string more;  // further attributes
    bool filled = false;
    bool operator==(const Pen& other) const;
  };
  void draw(const Pen& pen, const std::string& data);
  void put_path();

  int width_px_, height_px_;
  std::string shapes_;
  Pen pen_;           // of the path that is being drawn: shapes alike in a row are one path
  std::string data_;  // its data so far
  bool failed_ = false;
};

}  // namespace tapersight
