// Tapersight beside what else there is, and beside what is possible at all:
//   bench_limits [--quick] [--seeds N = 40]
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <opencv2/core.hpp>
#include <string>
#include <thread>

#include "bench/limits_parts.h"

namespace tapersight::testing {
namespace {

std::string processor() {
  std::ifstream info("/proc/cpuinfo");
  for (std::string line; std::getline(info, line);)
    if (line.rfind("model name", 0) == 0) return line.substr(line.find(':') + 2);
  return "unknown processor";
}

int run(int argc, char** argv) {
  LimitsOptions options;
  for (int i = 1; i < argc; ++i) {
    if (std::strcmp(argv[i], "--quick") == 0) {
      options.quick = true;
      options.seeds = 3;
    } else if (std::strcmp(argv[i], "--seeds") == 0 && i + 1 < argc && std::atoi(argv[i + 1]) > 0) {
      options.seeds = std::atoi(argv[++i]);
    } else {
      std::printf("bench_limits [--quick] [--seeds N]\n");
      return 2;
    }
  }
  std::printf("%s, %u cores; OpenCV %s; %d scans of each kind of edge%s\n", processor().c_str(),
              std::thread::hardware_concurrency(), CV_VERSION, options.seeds, options.quick ? "; quick" : "");
  measure_cost(options);  // first, while the process is small
  compare_with_others(options);
  compare_with_bound(options);
  hunt_bias(options);
  return 0;
}

}  // namespace
}  // namespace tapersight::testing

int main(int argc, char** argv) {
  return tapersight::testing::run(argc, argv);
}
