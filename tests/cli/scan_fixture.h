// One small scan with a known truth, in a folder of its own, for all tests of the program.
#pragma once
#include <string>
#include <vector>

#include "support/run_program.h"
#include "synth/scan_truth.h"

namespace tapersight::testing {

// The program under test.
ProgramRun run_tapersight(const std::vector<std::string>& arguments, const std::string& folder = {});

struct SampleScan {
  TempDir dir;
  std::string bytes;  // of the file
  StripTruth truth;
  std::string png() const { return dir.file("bench-07.png"); }
};

ScanScene sample_scene();
// Rendered once: bench 7's strip, 300 dpi, smooth edges, taper 0.002.
const SampleScan& sample_scan();

// Status 2, told on stderr alone, and nothing written. SCAN stands for the sample scan, OUT... for a file
// name that is free.
void expect_wrong_usage(std::vector<std::string> arguments);

}  // namespace tapersight::testing
