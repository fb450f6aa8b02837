// One small scan, and the program run on files with its memory and time taken.
#pragma once
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "synth/scan_truth.h"

namespace tapersight::testing {

constexpr int kScanDpi = 200;

struct CorpusScan {
  cv::Mat grey;
  StripTruth truth;
};
const CorpusScan& corpus_scan();  // rendered once

struct TakenRun {
  int status = -1;  // exit status; -1 when a signal ended it
  std::string out, err;
  double peak_mb = 0;
  double cpu_s = 0;
};

// `environment`: NAME=VALUE, added to the test's own.
TakenRun run_and_take(const std::vector<std::string>& arguments,
                      const std::vector<std::string>& environment = {});

}  // namespace tapersight::testing
