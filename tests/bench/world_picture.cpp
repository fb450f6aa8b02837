#include "bench/world_picture.h"

#include <exception>
#include <utility>

#include "pipeline/measure_picture.h"

namespace tapersight::testing {
namespace {

PictureOptions options_of(const WorldPicture& picture, bool bars_typed) {
  PictureOptions options;
  options.by_camera = picture.by_camera;
  if (bars_typed && picture.layout != nullptr) {
    options.bar_x_mm = picture.layout->bar_x.length_mm() * picture.print_scale_x;
    options.bar_y_mm = picture.layout->bar_y.length_mm() * picture.print_scale_y;
  }
  return options;
}

WorldOutcome refused(const std::string& code) {
  WorldOutcome outcome;
  outcome.refused = code;
  return outcome;
}

WorldTrial failed(const WorldItem& item, const std::string& code) {
  WorldTrial trial;
  trial.name = item.name;
  trial.plain = trial.typed = trial.turned = refused(code);
  return trial;
}

}  // namespace

WorldOutcome measure_once(const WorldPicture& picture, bool bars_typed) {
  try {
    const auto m =
        measure_picture(picture.grey, picture.dpi_u, picture.dpi_v, options_of(picture, bars_typed));
    if (!m) return refused(m.failure().code);
    WorldOutcome outcome;
    outcome.taper = m->strip.taper;
    outcome.u = m->strip.u_taper;
    outcome.dof = m->strip.dof;
    for (const Warning& warning : m->warnings) outcome.warnings.push_back(warning.code);
    return outcome;
  } catch (const std::exception&) {
    return refused("exception");
  }
}

WorldPicture half_turned(const WorldPicture& picture) {
  WorldPicture turned = picture;
  cv::rotate(picture.grey, turned.grey, cv::ROTATE_180);
  return turned;
}

WorldTrial try_item(const WorldItem& item) {
  try {
    const Result<WorldPicture> picture = item.make();
    if (!picture) return failed(item, picture.failure().code);
    WorldTrial trial = picture->truth;
    trial.name = item.name;
    trial.plain = measure_once(*picture, false);
    trial.typed = measure_once(*picture, true);
    trial.turned = measure_once(half_turned(*picture), false);
    return trial;
  } catch (const std::exception&) {
    return failed(item, "exception");
  }
}

}  // namespace tapersight::testing
