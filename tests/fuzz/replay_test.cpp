// The fuzzers' seeds, and changes of each that are the same on every machine, without a fuzzer.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>

#include "base/files.h"
#include "base/rng.h"
#include "fuzz/fuzz_target.h"

namespace tapersight::testing {
namespace {

using Words = std::vector<std::string>;

struct Seed {
  std::string name, bytes;
};

// Of a folder, by name; nothing when it is not there.
std::vector<Seed> seeds_in(const std::string& folder) {
  std::vector<Seed> seeds;
  if (!std::filesystem::is_directory(folder)) return seeds;
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    seeds.push_back({entry.path().filename().string(), read_file(entry.path().string()).value()});
  std::sort(seeds.begin(), seeds.end(), [](const Seed& a, const Seed& b) { return a.name < b.name; });
  return seeds;
}

const std::vector<Seed>& all_seeds() {
  static const std::vector<Seed> all = [] {
    std::vector<Seed> seeds = seeds_in(COMMITTED_SEEDS);
    for (Seed& seed : seeds_in(MADE_SEEDS)) seeds.push_back(std::move(seed));
    return seeds;
  }();
  return all;
}

// One character from its escape, as libFuzzer writes dictionaries: \\ \" \xAB.
char unescaped(const std::string& text, std::size_t& i) {
  if (text[i] != '\\' || i + 1 >= text.size()) return text[i];
  if (text[++i] != 'x') return text[i];
  const std::string digits = text.substr(i + 1, 2);
  i += 2;
  return static_cast<char>(std::stoi(digits, nullptr, 16));
}

// The words between the quotation marks, one a line.
Words dictionary() {
  Words words;
  if (!std::filesystem::exists(DICTIONARY)) return words;
  const std::string text = read_file(DICTIONARY).value();
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string line = text.substr(at, end - at);
    at = end + 1;
    const std::size_t first = line.find('"'), last = line.rfind('"');
    if (line.empty() || line[0] == '#' || first == last) continue;
    std::string word;
    for (std::size_t i = first + 1; i < last; ++i) word += unescaped(line, i);
    words.push_back(word);
  }
  return words;
}

std::size_t place(Rng& rng, std::size_t size) {
  return static_cast<std::size_t>(rng.integer(0, static_cast<int>(size)));
}

void change_once(std::string& bytes, const Words& words, Rng& rng) {
  const std::size_t at = place(rng, bytes.size());
  const std::size_t length = std::min(bytes.size() - at, place(rng, 16));
  switch (rng.integer(0, 6)) {
    case 0:
      if (at < bytes.size()) bytes[at] = static_cast<char>(bytes[at] ^ (1 << rng.integer(0, 7)));
      break;
    case 1:
      if (at < bytes.size()) bytes[at] = static_cast<char>(rng.integer(0, 255));
      break;
    case 2:
      bytes.insert(at, 1, static_cast<char>(rng.integer(0, 255)));
      break;
    case 3:
      bytes.erase(at, length);
      break;
    case 4:
      bytes.insert(place(rng, bytes.size()), bytes.substr(at, length));
      break;
    case 5:
      if (rng.integer(0, 7) == 0) bytes.resize(at);
      break;
    default:
      if (!words.empty()) bytes.insert(at, words[place(rng, words.size() - 1)]);
  }
}

std::string changed(std::string bytes, const Words& words, Rng& rng) {
  for (int n = rng.integer(1, 5); n > 0; --n) change_once(bytes, words, rng);
  return bytes;
}

void run(const std::string& bytes) {
  LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
}

class Replay : public ::testing::TestWithParam<std::size_t> {};

TEST_P(Replay, HoldsForTheSeedAndItsChanges) {
  const Seed& seed = all_seeds()[GetParam()];
  ASSERT_NO_THROW(run(seed.bytes)) << seed.name;
  const Words words = dictionary();
  Rng rng(1);
  for (int i = 0; i < REPLAYED_CHANGES; ++i) {
    const std::string bytes = changed(seed.bytes, words, rng);
    ASSERT_NO_THROW(run(bytes)) << seed.name << ", change " << i << ":\n" << bytes;
  }
}

std::string test_name(const ::testing::TestParamInfo<std::size_t>& info) {
  std::string name = all_seeds()[info.param].name;
  for (char& c : name)
    if (!std::isalnum(static_cast<unsigned char>(c))) c = '_';
  return name;
}

INSTANTIATE_TEST_SUITE_P(Seeds, Replay, ::testing::Range(std::size_t{0}, all_seeds().size()), test_name);

TEST(Seeds, AreThere) {
  EXPECT_FALSE(all_seeds().empty());
}

}  // namespace
}  // namespace tapersight::testing
