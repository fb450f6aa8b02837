// Pictures of bench_world: where they come from, and how one is tried.
#pragma once
#include <functional>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "bench/world_judge.h"
#include "target/sheet_layout.h"

namespace tapersight::testing {

// A picture as the program has it from a file, and what is true of it.
struct WorldPicture {
  cv::Mat grey;
  std::optional<double> dpi_u, dpi_v;
  bool by_camera = false;
  WorldTrial truth;                     // without outcomes
  const SheetLayout* layout = nullptr;  // for its check bars
  double print_scale_x = 1, print_scale_y = 1;
};

struct WorldItem {
  std::string name;
  std::function<Result<WorldPicture>()> make;
};

// Measures it without bars, with bars, and turned by half a turn. Whatever is thrown becomes the outcome
// "exception"; a picture that cannot be made or read is refused by that failure's code.
WorldTrial try_item(const WorldItem& item);

// One measurement of a picture, as `measure` does it.
WorldOutcome measure_once(const WorldPicture& picture, bool bars_typed);

// The same picture with its pixels turned by half a turn.
WorldPicture half_turned(const WorldPicture& picture);

// What stands in `truth_path` (schema tapersight-world-truth-1, or the generator's own of testimages/), with
// the picture beside it. Failures: "truth-not-readable", those of load_picture.
Result<WorldPicture> load_world_picture(const std::string& truth_path);

// The key "world" of a truth file; empty where there is none.
std::string world_of(const std::string& truth_path);

// All *.truth.json below a folder, in order of their names.
std::vector<std::string> truth_files(const std::string& folder);

}  // namespace tapersight::testing
