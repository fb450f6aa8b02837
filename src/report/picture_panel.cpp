#include "report/picture_panel.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "report/overlay_style.h"

namespace tapersight {
namespace {

namespace style = overlay_style;

// A point of the strip's own frame, in the picture.
Eigen::Vector2d in_picture(const PictureMeasurement& m, double position_mm, double across_mm) {
  const Eigen::Vector2d across(m.strip.along.y(), -m.strip.along.x());
  return m.map.picture_from_sheet(m.strip.centre_mm + position_mm * m.strip.along + across_mm * across);
}

double line_at(const EdgeFit& edge, double position_mm) {
  return edge.level_mm + edge.lean * position_mm;
}

// How much wider the strip is drawn at `position_mm` when its edges lean `times` as much: > 0.
double leaning(const StripMeasurement& strip, double position_mm, double times) {
  const auto width = [&](double at) { return line_at(strip.edges[1], at) - line_at(strip.edges[0], at); };
  const double level = width((strip.far_mm + strip.fence_mm) / 2);
  const double here = width(position_mm);
  return std::max(0.05, (level + times * (here - level)) / here);
}

// Draws in the panel's own coordinates.
class PanelPen {
 public:
  PanelPen(Canvas& canvas, const ReducedPicture& picture, double x, double y)
      : canvas_(canvas), picture_(picture), x_(x), y_(y) {}

  PointPx at(const Eigen::Vector2d& picture_px) const {
    const PointPx p = picture_.at(picture_px);
    return {p.x + x_, p.y + y_};
  }

  void sheet(const MeasurementReport& report) {
    const PictureMeasurement& m = *report.measurement;
    for (const Correspondence& saddle : m.saddles) {
      canvas_.ring(at(saddle.picture_px), 5, style::kPanel, 3.4);
      canvas_.ring(at(saddle.picture_px), 5, style::kSheet, 2);
    }
    if (m.layout == nullptr) return;
    const RectMm& channel = m.layout->channel;
    // The map leads to true millimetres, the layout knows the printed ones.
    const double scale_x =
        report.options.bar_x_mm.value_or(m.layout->bar_x.length_mm()) / m.layout->bar_x.length_mm();
    const double scale_y =
        report.options.bar_y_mm.value_or(m.layout->bar_y.length_mm()) / m.layout->bar_y.length_mm();
    const Eigen::Vector2d corners[] = {{channel.x, channel.y},
                                       {channel.right(), channel.y},
                                       {channel.right(), channel.bottom()},
                                       {channel.x, channel.bottom()}};
    std::vector<PointPx> outline;
    for (int i = 0; i < 4; ++i)
      for (int k = 0; k < 16; ++k) {
        const Eigen::Vector2d p = corners[i] + (corners[(i + 1) % 4] - corners[i]) * (k / 16.0);
        outline.push_back(at(m.map.picture_from_sheet({p.x() * scale_x, p.y() * scale_y})));
      }
    canvas_.polygon(outline, style::kSheet, 2.4);
  }

  void edge(const PictureMeasurement& m, int side) {
    const EdgeFit& edge = m.strip.edges[side];
    std::vector<PointPx> line;
    for (int i = 0; i <= 40; ++i) {
      const double position = m.strip.far_mm + m.strip.length_mm() * i / 40;
      line.push_back(at(in_picture(m, position, line_at(edge, position))));
    }
    canvas_.line(line, style::kPanel, 3.6);
    canvas_.line(line, style::kEdge[side], 1.8);
    points(edge, side, true, 9);
    points(edge, side, false, 7);
  }

  // The ends in words, in a box just beyond the strip.
  void end_label(const PictureMeasurement& m, bool fence_end) {
    const double middle = (line_at(m.strip.edges[0], 0) + line_at(m.strip.edges[1], 0)) / 2;
    const double end = fence_end ? m.strip.fence_mm : m.strip.far_mm;
    const double beyond = fence_end ? 1 : -1;
    const PointPx tip = at(in_picture(m, end, middle));
    const PointPx out = at(in_picture(m, end + beyond, middle));
    const double reach = std::hypot(out.x - tip.x, out.y - tip.y);
    if (!(reach > 0)) return;
    const PointPx way{(out.x - tip.x) / reach, (out.y - tip.y) / reach};
    const std::string words = fence_end ? "FENCE END" : "far end";
    const TextStyle text{20, style::kPanel, TextAlign::kCentre, fence_end};
    const double half_width = canvas_.text_width(words, text) / 2 + 10;
    const double half_height = 16;
    // Half the box, as far as it reaches towards the tip, and the wedge that points at the end.
    const double distance = 14 + std::abs(way.x) * half_width + std::abs(way.y) * half_height;
    PointPx centre{tip.x + way.x * distance, tip.y + way.y * distance};
    centre.x = std::clamp(centre.x, x_ + half_width,
                          std::max(x_ + half_width, x_ + picture_.grey.cols - half_width));
    centre.y = std::clamp(centre.y, y_ + half_height,
                          std::max(y_ + half_height, y_ + picture_.grey.rows - half_height));
    const Colour colour = fence_end ? style::kFence : style::kQuiet;
    const PointPx foot{tip.x + way.x * 15, tip.y + way.y * 15};
    canvas_.fill_polygon({{tip.x + way.x * 2, tip.y + way.y * 2},
                          {foot.x - way.y * 8, foot.y + way.x * 8},
                          {foot.x + way.y * 8, foot.y - way.x * 8}},
                         colour);
    canvas_.fill({centre.x - half_width, centre.y - half_height, 2 * half_width, 2 * half_height}, colour);
    canvas_.text({centre.x, centre.y + 7}, words, text);
  }

 private:
  void points(const EdgeFit& edge, int side, bool used, double least_distance_px) {
    PointPx last{-1e9, -1e9};
    for (const EdgeResidual& r : edge.residuals) {
      if (r.used != used) continue;
      const PointPx p = at(r.picture_px);
      if (std::hypot(p.x - last.x, p.y - last.y) < least_distance_px) continue;
      last = p;
      if (used)
        canvas_.dot(p, 2.6, style::kEdge[side]);
      else
        canvas_.cross(p, 4, style::kLeftOut, 2);
    }
  }

  Canvas& canvas_;
  const ReducedPicture& picture_;
  double x_, y_;
};

}  // namespace

ReducedPicture reduce_picture(const cv::Mat& grey, int long_side_px) {
  ReducedPicture reduced;
  const int long_side = std::max(grey.cols, grey.rows);
  if (long_side <= long_side_px) {
    reduced.grey = grey;
    return reduced;
  }
  reduced.scale = static_cast<double>(long_side_px) / long_side;
  cv::resize(grey, reduced.grey,
             {std::max(1, static_cast<int>(std::lround(grey.cols * reduced.scale))),
              std::max(1, static_cast<int>(std::lround(grey.rows * reduced.scale)))},
             0, 0, cv::INTER_AREA);
  return reduced;
}

void draw_picture_panel(Canvas& canvas, const ReducedPicture& picture, int x, int y,
                        const MeasurementReport& report) {
  const RectPx area{static_cast<double>(x), static_cast<double>(y), static_cast<double>(picture.grey.cols),
                    static_cast<double>(picture.grey.rows)};
  canvas.picture(picture.grey, x, y);
  canvas.clip(area);
  PanelPen pen(canvas, picture, x, y);
  pen.sheet(report);
  for (int side = 0; side < 2; ++side) pen.edge(*report.measurement, side);
  pen.end_label(*report.measurement, false);
  pen.end_label(*report.measurement, true);
  canvas.unclip();
  canvas.frame(area, style::kQuiet, 1.2);
}

void draw_strip_panel(Canvas& canvas, const ReducedPicture& picture, const RectPx& area,
                      const AlongAxis& axis, const PictureMeasurement& m, const Enlarged& enlarged) {
  const double mm_per_px = (axis.high_mm - axis.low_mm) / (axis.right_px - axis.left_px);
  const double middle = (line_at(m.strip.edges[0], 0) + line_at(m.strip.edges[1], 0)) / 2;
  const auto stretch = [&](double position) {
    return enlarged.across * leaning(m.strip, position, enlarged.lean);
  };
  const int columns = static_cast<int>(area.width);
  const int rows = static_cast<int>(area.height);
  cv::Mat from_x(rows, columns, CV_32FC1);
  cv::Mat from_y(rows, columns, CV_32FC1);
  for (int column = 0; column < columns; ++column) {
    // Along one column the map is straight enough to be taken from its ends.
    const double position = axis.low_mm + (area.x + column + 0.5 - axis.left_px) * mm_per_px;
    const double half = rows / 2.0 * mm_per_px / stretch(position);
    const Eigen::Vector2d top = in_picture(m, position, middle + half);
    const Eigen::Vector2d bottom = in_picture(m, position, middle - half);
    for (int row = 0; row < rows; ++row) {
      const PointPx p = picture.at(top + (bottom - top) * ((row + 0.5) / rows));
      from_x.at<float>(row, column) = static_cast<float>(p.x - 0.5);
      from_y.at<float>(row, column) = static_cast<float>(p.y - 0.5);
    }
  }
  cv::Mat straight;
  cv::remap(picture.grey, straight, from_x, from_y, cv::INTER_LINEAR, cv::BORDER_CONSTANT, 255);
  canvas.picture(straight, static_cast<int>(area.x), static_cast<int>(area.y));
  canvas.clip(area);
  for (int side = 0; side < 2; ++side) {
    const auto place = [&](double position) {
      const double across = middle + (line_at(m.strip.edges[side], position) - middle) * stretch(position);
      return PointPx{axis.at(position), area.y + area.height / 2 - (across - middle) / mm_per_px};
    };
    canvas.line({place(m.strip.far_mm), place(m.strip.fence_mm)}, style::kEdge[side], 2.2);
  }
  canvas.unclip();
  canvas.frame(area, style::kQuiet, 1.2);
}

}  // namespace tapersight
