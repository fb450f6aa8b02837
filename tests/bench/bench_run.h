// What a bench over random pictures is run with: how many, on how many threads, from which seed.
#pragma once
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace tapersight::testing {

struct BenchRun {
  int count = 0;
  int threads = 2;
  std::uint64_t seed = 0;
  bool seed_given = false;
  // One of --count N, --threads N and --seed N at words[i]: takes it and moves i on to its number. False:
  // none of them, or no number that makes sense.
  bool take_word(const std::vector<std::string>& words, std::size_t& i);
  // Without --seed a seed that nobody chose, so that no figure is from one that a constant was chosen on.
  void draw_seed();
};

}  // namespace tapersight::testing
