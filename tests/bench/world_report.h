// bench_world's table, its JSON, and two of them compared.
#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "bench/world_judge.h"

namespace tapersight::testing {

struct WorldTrials {
  std::string world;
  std::vector<WorldTrial> trials;
};

struct WorldRun {
  std::uint64_t seed = 0;
  int count = 0;  // good pictures of each generated world
  std::vector<WorldTrials> worlds;
};

// Not wider than 100 columns.
std::string world_table(const WorldRun& run);

// Schema "tapersight-world-bench-1": every picture with its outcomes, nothing that changes from one run of
// the same code and seed to the next.
std::string world_json(const WorldRun& run);

// Failure "not-a-world-bench": damaged, or another schema.
Result<WorldRun> read_world_json(const std::string& text);

// Picture by picture where one is measured and the other is not, then the figures of the pictures in both.
std::string world_comparison(const WorldRun& a, const WorldRun& b);

}  // namespace tapersight::testing
