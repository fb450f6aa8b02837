#include "cli/scan_fixture.h"

#include <gtest/gtest.h>

#include <filesystem>
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

void expect_wrong_usage(std::vector<std::string> arguments) {
  const TempDir dir;
  for (std::string& argument : arguments) {
    if (argument == "SCAN") argument = sample_scan().png();
    if (argument.substr(0, 3) == "OUT") argument = dir.file(argument);
  }
  const auto run = run_tapersight(arguments);
  EXPECT_EQ(run.status, 2) << run.out << run.err;
  EXPECT_EQ(run.out, "");
  EXPECT_NE(run.err, "");
  EXPECT_TRUE(std::filesystem::is_empty(dir.path()));
}

}  // namespace tapersight::testing
