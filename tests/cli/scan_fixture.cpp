#include "cli/scan_fixture.h"

#include <stdexcept>

#include "synth/render_scan.h"
#include "synth/scan_file.h"

namespace tapersight::testing {

ScanScene sample_scene() {
  ScanScene scene;
  scene.seed = 7;
  scene.window_sheet_mm = fiducial_bounds(sheet_layout(scene.paper));
  StripScene& strip = scene.strips.front();
  strip.taper = 0.002;
  strip.length_mm = 200;
  strip.left.roughness_um = strip.right.roughness_um = 5;
  return scene;
}

ProgramRun run_tapersight(const std::vector<std::string>& arguments, const std::string& folder) {
  return run_program(TAPERSIGHT_PROGRAM, arguments, folder);
}

const SampleScan& sample_scan() {
  static const SampleScan& scan = [&]() -> const SampleScan& {
    static SampleScan made;
    const ScanScene scene = sample_scene();
    const RenderedScan rendered = render_scan(scene);
    if (!write_scan(made.png(), rendered.image, scene.dpi)) throw std::runtime_error("no scan");
    made.bytes = read_file(made.png()).value();
    made.truth = rendered.truth.strips.front();
    return made;
  }();
  return scan;
}

}  // namespace tapersight::testing
