// Shapes of a drawing; looks are classes of the page's style. Units: the drawing's own, y down.
#pragma once
#include <string>
#include <utility>
#include <vector>

#include "page/html.h"

namespace tapersight::svg {

using Points = std::vector<std::pair<double, double>>;

// One image for a screen reader, with `alt` as its words; silent when there are none.
Markup drawing(double width, double height, const char* look, const std::string& alt, const Markup& shapes);

Markup stroke(double x1, double y1, double x2, double y2, const char* look);
Markup path(const Points& points, const char* look);
Markup path_data(const std::string& data, const char* look);
Markup rect(double x, double y, double width, double height, const char* look);
Markup circle(double x, double y, double radius, const char* look);
Markup label(double x, double y, const char* anchor, const std::string& words);

}  // namespace tapersight::svg
