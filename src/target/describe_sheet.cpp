#include "target/describe_sheet.h"

#include <cmath>
#include <nlohmann/json.hpp>

namespace tapersight {
namespace {

using nlohmann::ordered_json;

// Whole micrometres: the layout's own numbers, without the last bits of the sums that made them.
double rounded(double mm) {
  return std::round(mm * 1000) / 1000;
}

ordered_json point(const Eigen::Vector2d& p) {
  return {rounded(p.x()), rounded(p.y())};
}

ordered_json rect(const RectMm& r) {
  return {rounded(r.x), rounded(r.y), rounded(r.width), rounded(r.height)};
}

ordered_json bar(const CheckBar& b) {
  return {{"from_mm", point(b.from_mm)}, {"to_mm", point(b.to_mm)}, {"length_mm", rounded(b.length_mm())}};
}

}  // namespace

std::string describe_sheet(const SheetLayout& layout) {
  ordered_json out;
  out["schema"] = "tapersight.sheet.v1";
  out["sheet"] = layout.id;
  out["page_mm"] = {layout.page_width_mm, layout.page_height_mm};
  out["channel_mm"] = rect(layout.channel);
  out["fence_end"] = "bottom";
  out["blocks_mm"] = ordered_json::array();
  for (const RectMm& block : layout.blocks) out["blocks_mm"].push_back(rect(block));
  out["square_mm"] = layout.square_mm;
  out["fiducials"]["saddles"] = ordered_json::array();
  for (const Saddle& s : layout.saddles)
    out["fiducials"]["saddles"].push_back({{"block", s.block},
                                           {"row", s.row},
                                           {"column", s.column},
                                           {"at_mm", point(s.at_mm)},
                                           {"ink_upper_left", s.ink_upper_left}});
  out["fiducials"]["markers"] = ordered_json::array();
  for (const Marker& m : layout.markers)
    out["fiducials"]["markers"].push_back(
        {{"id", m.id}, {"centre_mm", point(m.centre_mm)}, {"side_mm", m.side_mm}});
  out["check_bars"] = {{"x", bar(layout.bar_x)}, {"y", bar(layout.bar_y)}};
  return out.dump(1) + "\n";
}

}  // namespace tapersight
