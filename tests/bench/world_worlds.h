// The worlds of bench_world, each a list of pictures that are made when they are tried.
#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "bench/world_picture.h"

namespace tapersight::testing {

struct WorldPlaces {
  std::string traced;      // the folder of tests/world/pictures
  std::string testimages;  // the folder testimages
  std::string root;        // where the paths of packages start
};

struct World {
  std::string name;
  std::string words;  // one line for the table's legend
};

const std::vector<World>& all_worlds();

// `count`: good pictures of a generated world; a quarter as many must be refused. Worlds that are files have
// what they have. Failure "package-missing".
Result<std::vector<WorldItem>> world_items(const std::string& world, std::uint64_t seed, int count,
                                           const WorldPlaces& places);

}  // namespace tapersight::testing
