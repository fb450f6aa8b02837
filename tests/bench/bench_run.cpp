#include "bench/bench_run.h"

#include <cstdlib>
#include <random>

namespace tapersight::testing {
namespace {

bool read_number(const std::string& text, std::uint64_t most, std::uint64_t& number) {
  char* end = nullptr;
  number = std::strtoull(text.c_str(), &end, 10);
  return !text.empty() && text[0] >= '0' && text[0] <= '9' && *end == '\0' && number <= most;
}

}  // namespace

bool BenchRun::take_word(const std::vector<std::string>& words, std::size_t& i) {
  const std::string value = i + 1 < words.size() ? words[i + 1] : "";
  std::uint64_t number = 0;
  if (words[i] == "--count" && read_number(value, 100000, number)) {
    count = static_cast<int>(number);
  } else if (words[i] == "--threads" && read_number(value, 256, number) && number > 0) {
    threads = static_cast<int>(number);
  } else if (words[i] == "--seed" && read_number(value, UINT64_MAX >> 1U, number)) {
    seed = number;
    seed_given = true;
  } else {
    return false;
  }
  ++i;
  return true;
}

void BenchRun::draw_seed() {
  if (seed_given) return;
  std::random_device device;
  seed = ((static_cast<std::uint64_t>(device()) << 32U) | device()) >> 1U;
}

}  // namespace tapersight::testing
