#include "page/svg.h"

#include "base/text.h"

namespace tapersight::svg {
namespace {

std::string number(double value) {
  return fixed(value, 1);
}

}  // namespace

Markup drawing(double width, double height, const char* look, const std::string& alt, const Markup& shapes) {
  Attributes attributes{{"viewBox", "0 0 " + number(width) + " " + number(height)},
                        {"class", std::string("drawing ") + look}};
  if (alt.empty())
    attributes.emplace_back("aria-hidden", "true");
  else
    attributes.insert(attributes.end(), {{"role", "img"}, {"aria-label", alt}});
  return element("svg", attributes, shapes);
}

Markup stroke(double x1, double y1, double x2, double y2, const char* look) {
  return element(
      "line",
      {{"x1", number(x1)}, {"y1", number(y1)}, {"x2", number(x2)}, {"y2", number(y2)}, {"class", look}});
}

Markup path(const Points& points, const char* look) {
  std::string data;
  for (const auto& [x, y] : points) data += (data.empty() ? "M" : "L") + number(x) + " " + number(y);
  return path_data(data, look);
}

Markup path_data(const std::string& data, const char* look) {
  return element("path", {{"d", data}, {"class", look}});
}

Markup rect(double x, double y, double width, double height, const char* look) {
  return element("rect", {{"x", number(x)},
                          {"y", number(y)},
                          {"width", number(width)},
                          {"height", number(height)},
                          {"class", look}});
}

Markup circle(double x, double y, double radius, const char* look) {
  return element("circle", {{"cx", number(x)}, {"cy", number(y)}, {"r", number(radius)}, {"class", look}});
}

Markup label(double x, double y, const char* anchor, const std::string& words) {
  return element("text", {{"x", number(x)}, {"y", number(y)}, {"text-anchor", anchor}}, text(words));
}

}  // namespace tapersight::svg
