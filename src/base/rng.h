// A small random generator whose numbers are the same with every compiler and library.
#pragma once
#include <cstdint>

namespace tapersight {

// xoshiro256** (Blackman and Vigna, "Scrambled linear pseudorandom number generators", 2018), seeded by
// splitmix64. The std distributions differ between libraries, so the draws are written out here.
class Rng {
 public:
  explicit Rng(std::uint64_t seed);
  std::uint64_t next();                     // uniform over all 64-bit values
  double uniform();                         // [0, 1)
  double uniform(double low, double high);  // [low, high)
  double normal();                          // mean 0, standard deviation 1 (polar method)
  int integer(int low, int high);           // low..high, both included

 private:
  std::uint64_t state_[4];
  double spare_ = 0;
  bool has_spare_ = false;
};

}  // namespace tapersight
