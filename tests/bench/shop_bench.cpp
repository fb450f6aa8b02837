// Prints what becomes of many sleds in the simulated shop (bench/shop.h).
//   bench_shop [SLEDS [FIRST_BENCH_NUMBER]]
#include <cstdio>
#include <optional>
#include <string>

#include "base/text.h"
#include "bench/shop.h"

namespace {

using namespace tapersight;

// A count given as argument `i`, or what is usual.
std::optional<int> count_at(int argc, char** argv, int i, int usual) {
  if (i >= argc) return usual;
  const auto number = parse_number(argv[i]);
  if (!number || *number < 1 || *number > 1e6 || *number != static_cast<int>(*number)) return std::nullopt;
  return static_cast<int>(*number);
}

}  // namespace

int main(int argc, char** argv) {
  const auto sleds = count_at(argc, argv, 1, 200);
  const auto first = count_at(argc, argv, 2, 1);
  if (!sleds || !first || argc > 3) {
    std::fputs("usage: bench_shop [SLEDS [FIRST_BENCH_NUMBER]]\n", stderr);
    return 2;
  }
  std::vector<shop::SledStory> stories;
  for (int i = 0; i < *sleds; ++i) {
    stories.push_back(
        shop::square_one_sled(static_cast<std::uint64_t>(*first) + static_cast<std::uint64_t>(i)));
    std::fputs(shop::story_line(stories.back()).c_str(), stdout);
    std::fflush(stdout);
  }
  std::fputs(shop::table_text(shop::summary(stories)).c_str(), stdout);
  return 0;
}
