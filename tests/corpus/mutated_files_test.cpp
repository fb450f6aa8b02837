// Files of every format, changed here and there by chance, to the real program: whatever is in them, it ends
// by itself, in words, within its time and memory. A few of each format always, the same ones; and by hand
//   TAPERSIGHT_MUTATIONS=10000 bin/test_corpus --gtest_filter='*Mutated*'
// that many of each, from a fresh seed that is printed (TAPERSIGHT_SEED=... makes them again).
#include <gtest/gtest.h>
#include <zlib.h>

#include <cstdio>
#include <cstdlib>
#include <map>
#include <random>

#include "base/files.h"
#include "base/rng.h"
#include "corpus/corpus_scan.h"
#include "support/made_files.h"
#include "support/temp_dir.h"

namespace tapersight::testing {
namespace {

#ifdef __SANITIZE_ADDRESS__
constexpr double kMostMb = 3000;
#else
constexpr double kMostMb = 1024 + 60;  // what the program says of itself, and its own
#endif
constexpr double kMostSeconds = 3;  // of processor time
constexpr int kWithoutBeingAsked = 20;

// "jpeg-grey" -> "jpeg"; the three kinds of PNM are one format.
std::string format_of(const std::string& kind) {
  const std::string format = kind.substr(0, kind.find('-'));
  return format == "pgm" || format == "ppm" ? "pnm" : format;
}

// A small picture in every kind of each format.
std::map<std::string, std::vector<std::string>> files_of_every_format() {
  cv::Mat grey(44, 61, CV_8UC1);
  for (int y = 0; y < grey.rows; ++y)
    for (int x = 0; x < grey.cols; ++x) grey.at<uchar>(y, x) = static_cast<uchar>(x * y % 251);
  std::map<std::string, std::vector<std::string>> files;
  for (const MadeKind& kind : made_kinds()) files[format_of(kind.name)].push_back(kind.make(grey, {300, 6}));
  files["tiff"].push_back(made_tiff(grey, {300, 1}, "tiff-lzw", 2));
  return files;
}

class Mutations {
 public:
  Mutations(const std::vector<std::string>& files, std::uint64_t seed) : files_(files), rng_(seed) {}

  std::string next() {
    std::string bytes = files_[below(files_.size())];
    const bool is_png = bytes.compare(0, 4, "\x89PNG") == 0;
    for (int n = rng_.integer(1, rng_.integer(0, 3) == 0 ? 40 : 6); n > 0; --n) change(bytes);
    if (is_png && rng_.integer(0, 3) > 0) mend_png(bytes);
    return bytes;
  }

 private:
  // 0 .. count - 1; most often small when `early`, for headers stand in front.
  std::size_t below(std::size_t count, bool early = false) {
    const double x = rng_.uniform();
    return std::min(count - 1,
                    static_cast<std::size_t>((early ? x * x * x : x) * static_cast<double>(count)));
  }

  void change(std::string& bytes) {
    if (bytes.empty()) return;
    const std::size_t at = below(bytes.size(), rng_.integer(0, 1) == 0);
    const std::size_t left = bytes.size() - at;
    switch (rng_.integer(0, 9)) {
      case 0:
        bytes[at] = static_cast<char>(bytes[at] ^ (1 << rng_.integer(0, 7)));
        break;
      case 1:
        bytes[at] = static_cast<char>(rng_.integer(0, 255));
        break;
      case 2:
        bytes.insert(at, below(64) + 1, static_cast<char>(rng_.integer(0, 255)));
        break;
      case 3:
        bytes.erase(at, below(64) + 1);
        break;
      case 4:
        bytes.insert(below(bytes.size()), bytes.substr(at, below(256) + 1));
        break;
      case 5:
        number(bytes, at);
        break;
      case 6:
        number(bytes, at);
        break;
      case 7:
        bytes.replace(at, std::min(left, below(512) + 1), std::min(left, below(512) + 1), '\0');
        break;
      case 8: {  // a piece of another kind of the same format
        const std::string& other = files_[below(files_.size())];
        const std::size_t from = below(other.size(), true);
        bytes.replace(at, below(128), other.substr(from, below(256) + 1));
        break;
      }
      default:
        if (rng_.integer(0, 7) == 0) bytes.resize(at);
    }
  }

  // Two or four bytes of a number where limits lie, either byte first.
  void number(std::string& bytes, std::size_t at) {
    static constexpr unsigned kNumbers[] = {0,          1,          2,      7,      255,        256,
                                            32767,      32768,      65535,  65536,  1000000,    0x7fffffff,
                                            0x80000000, 0xffffffff, 100000, 0x4000, 0x10000000, 0xfffffffe};
    const unsigned number = kNumbers[below(std::size(kNumbers))];
    const int wide = rng_.integer(0, 1) == 0 ? 2 : 4;
    const std::string text = rng_.integer(0, 1) == 0 ? big_endian(number, wide) : little_endian(number, wide);
    bytes.replace(at, std::min(bytes.size() - at, text.size()), text);
  }

  static std::size_t big_endian_at(const std::string& bytes, std::size_t at) {
    std::size_t number = 0;
    for (std::size_t i = 0; i < 4; ++i) number = number << 8 | static_cast<unsigned char>(bytes[at + i]);
    return number;
  }
  // Its checksums put right, or hardly any change would get past them.
  static void mend_png(std::string& file) {
    constexpr std::size_t kMark = 8, kAround = 12;
    for (std::size_t at = kMark; at + kAround <= file.size();) {
      const std::size_t length = big_endian_at(file, at);
      if (length > file.size() - at - kAround) return;
      const auto* body = reinterpret_cast<const Bytef*>(file.data()) + at + 4;
      file.replace(at + 8 + length, 4,
                   big_endian(static_cast<unsigned>(crc32(0, body, static_cast<uInt>(length + 4))), 4));
      at += length + kAround;
    }
  }

  const std::vector<std::string>& files_;
  Rng rng_;
};

std::uint64_t seed_and_count(int& count) {
  const char* const asked = std::getenv("TAPERSIGHT_MUTATIONS");
  const char* const again = std::getenv("TAPERSIGHT_SEED");
  if (asked) count = std::atoi(asked);
  if (again) return std::strtoull(again, nullptr, 10);
  return asked ? std::random_device()() : 1;
}

TEST(MutatedFiles, EndInWordsWithinTimeAndMemory) {
  int count = kWithoutBeingAsked;
  const std::uint64_t seed = seed_and_count(count);
  std::printf("%d files a format, seed %llu\n", count, static_cast<unsigned long long>(seed));
  const TempDir dir;
  for (const auto& [format, files] : files_of_every_format()) {
    Mutations mutations(files, seed);
    double worst_mb = 0, worst_s = 0;
    std::map<int, int> ends;
    for (int i = 0; i < count; ++i) {
      const std::string bytes = mutations.next();
      ASSERT_TRUE(write_file_whole(dir.file("mutated"), bytes).ok());
      const TakenRun run = run_and_take({"measure", dir.file("mutated")});
      worst_mb = std::max(worst_mb, run.peak_mb);
      worst_s = std::max(worst_s, run.cpu_s);
      ++ends[run.status];
      const bool told = run.err.rfind("tapersight: ", 0) == 0 &&
                        run.err.find("\n            ") != std::string::npos &&
                        run.err.find("went wrong inside") == std::string::npos;
      // 2: several pages; 3: no sheet in it; 4: not to be read. -1 is a signal.
      const bool ended = run.status >= 2 && run.status <= 4;
      if (told && ended && run.peak_mb < kMostMb && run.cpu_s < kMostSeconds) continue;
      const std::string kept = "mutated-" + format + "-" + std::to_string(seed) + "-" + std::to_string(i);
      EXPECT_TRUE(write_file_whole(kept, bytes).ok());
      ADD_FAILURE() << kept << ": exit " << run.status << ", " << run.peak_mb << " MB, " << run.cpu_s
                    << " s: " << run.err;
    }
    std::printf("%-5s at most %5.0f MB and %.2f s;", format.c_str(), worst_mb, worst_s);
    for (const auto& [status, times] : ends) std::printf(" exit %d: %d", status, times);
    std::printf("\n");
    std::fflush(stdout);
  }
}

}  // namespace
}  // namespace tapersight::testing
