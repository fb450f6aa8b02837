// Pictures come out of the decoding room as they do without it; what crashes, hangs or is killed in there is
// a refusal of that picture alone and leaves nothing behind.
#include <gtest/gtest.h>
#include <signal.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <opencv2/core.hpp>
#include <thread>

#include "base/files.h"
#include "formats/read_picture.h"
#include "room/decoding_room.h"
#include "support/hostile_files.h"
#include "support/made_files.h"
#include "support/temp_dir.h"

namespace tapersight {
namespace {

using namespace tapersight::testing;

cv::Mat slope() {
  cv::Mat grey(83, 101, CV_8UC1);
  for (int y = 0; y < grey.rows; ++y)
    for (int x = 0; x < grey.cols; ++x) grey.at<uchar>(y, x) = static_cast<uchar>(235 - x - y);
  return grey;
}

std::vector<int> children_of(int process) {
  std::vector<int> children;
  const std::string folder = "/proc/" + std::to_string(process) + "/task";
  std::error_code ignored;
  for (const auto& task : std::filesystem::directory_iterator(folder, ignored)) {
    std::ifstream list(task.path() / "children");
    for (int child = 0; list >> child;) children.push_back(child);
  }
  return children;
}

int open_descriptors() {
  int count = 0;
  for (const auto& unused : std::filesystem::directory_iterator("/proc/self/fd")) {
    static_cast<void>(unused);
    ++count;
  }
  return count;
}

class Room : public ::testing::Test {
 protected:
  void SetUp() override {
    before_ = children_of(::getpid());
    auto opened = DecodingRoom::open();
    ASSERT_TRUE(opened.ok());
    room_ = std::move(*opened);
  }
  std::string kept(const std::string& name, const std::string& bytes) const {
    EXPECT_TRUE(write_file_whole(dir_.file(name), bytes).ok());
    return dir_.file(name);
  }
  // 225 million pixels of one bit, well packed: half a second's work.
  std::string slow_file() const {
    constexpr unsigned kSide = 15000;
    return kept(
        "slow.png",
        "\x89PNG\r\n\x1a\n" +
            png_chunk("IHDR", big_endian(kSide, 4) + big_endian(kSide, 4) + std::string("\1\0\0\0\0", 5)) +
            png_chunk("IDAT", deflated(std::string(kSide * (1 + kSide / 8), '\0'))) + png_chunk("IEND", ""));
  }
  TempDir dir_;
  std::vector<int> before_;
  std::unique_ptr<DecodingRoom> room_;
};

TEST_F(Room, EveryKindIsTheSameAsWithoutIt) {
  for (const MadeKind& kind : made_kinds())
    for (const int orientation : {1, 6}) {
      if (orientation != 1 && !kind.can_turn) continue;
      const std::string bytes = kind.make(slope(), {300, orientation});
      const auto here = read_picture(bytes);
      const auto there = room_->read(kept(kind.name, bytes), {});
      ASSERT_TRUE(here.ok() && there.ok()) << kind.name << (there ? "" : there.failure().text);
      ASSERT_EQ(here->grey.size(), there->grey.size()) << kind.name;
      EXPECT_EQ(cv::norm(here->grey, there->grey, cv::NORM_INF), 0) << kind.name;
      ASSERT_EQ(here->dpi.has_value(), there->dpi.has_value()) << kind.name;
      EXPECT_EQ(here->dpi.value_or(Dpi{}).u, there->dpi.value_or(Dpi{}).u) << kind.name;
      EXPECT_EQ(here->by_camera, there->by_camera) << kind.name;
    }
}

TEST_F(Room, SaysWhatIsWrongWithAFileAsWithoutIt) {
  const std::string path = kept("half.jpg", made_kind("jpeg-grey").make(slope(), {}).substr(0, 900));
  EXPECT_EQ(room_->read(path, {}).failure().code, "picture-damaged");
  EXPECT_EQ(room_->read(path, {}).failure().text, "\"" + path + "\" is cut off or damaged.");
  EXPECT_EQ(room_->read(dir_.file("none.jpg"), {}).failure().code, "file-not-readable");
  EXPECT_EQ(room_->read(kept("letter", "Dear saw"), {}).failure().code, "not-a-picture");
}

// One after the other, so that what one leaves would harm the next.
TEST_F(Room, WhatCrashesThereIsARefusalAndTheNextPictureIsRead) {
  const std::string good = kept("good.png", made_kind("png-8").make(slope(), {}));
  const std::string crashing = kept("chain.pdf", chained_lengths_pdf(30000));
  for (int i = 0; i < 5; ++i) {
    const auto bad = room_->read(crashing, {});
    ASSERT_FALSE(bad.ok());
    EXPECT_EQ(bad.failure().code, "picture-damaged");
    EXPECT_TRUE(room_->read(good, {}).ok());
  }
}

TEST_F(Room, MemoryBeyondTheLimitIsARefusal) {
  cv::Mat large(4000, 4000, CV_8UC1, cv::Scalar(90));
  const std::string path = kept("large.jpg", made_kind("jpeg-progressive").make(large, {}));
  ReadOptions options;
  EXPECT_TRUE(room_->read(path, options).ok());
  options.limits.most_memory_bytes = 40U << 20;
  EXPECT_EQ(room_->read(path, options).failure().code, "picture-too-large");
}

TEST_F(Room, WhatDoesNotEndIsEnded) {
  ReadOptions options;
  options.limits.most_seconds = 0.05;
  const auto read = room_->read(slow_file(), options);
  ASSERT_FALSE(read.ok());
  EXPECT_EQ(read.failure().code, "picture-damaged");
  EXPECT_NE(read.failure().text.find("took longer than"), std::string::npos);
}

// The decoding process killed at some moment, the room closed: no process and no descriptor is left.
TEST_F(Room, KilledAtAnyMomentItLeavesNothingBehind) {
  const std::string slow = slow_file();
  const int descriptors = open_descriptors();
  const int doorkeeper = [&] {
    for (const int child : children_of(::getpid()))
      if (std::find(before_.begin(), before_.end(), child) == before_.end()) return child;
    return -1;
  }();
  ASSERT_GT(doorkeeper, 0);
  for (int i = 0; i < 5; ++i) {
    std::atomic<bool> done{false};
    std::string code;
    std::thread reader([&] {
      const auto read = room_->read(slow, {});
      code = read ? "read" : read.failure().code;
      done = true;
    });
    while (!done) {
      std::this_thread::sleep_for(std::chrono::milliseconds(1 + 3 * i));
      for (const int decoding : children_of(doorkeeper)) ::kill(decoding, SIGKILL);
    }
    reader.join();
    EXPECT_EQ(code, "picture-damaged");
  }
  EXPECT_EQ(open_descriptors(), descriptors);
  room_.reset();
  EXPECT_EQ(children_of(::getpid()), before_);
}

TEST_F(Room, SeveralThreadsReadAtOnce) {
  const std::string crashing = kept("chain.pdf", chained_lengths_pdf(30000));
  std::vector<std::string> paths;
  for (int i = 0; i < 8; ++i)
    paths.push_back(kept(std::to_string(i) + ".png", made_kind("png-8").make(slope() - i, {})));
  std::vector<std::thread> threads;
  std::atomic<int> right{0};
  for (int t = 0; t < 8; ++t)
    threads.emplace_back([&, t] {
      for (int k = 0; k < 5; ++k) {
        const auto read = room_->read(paths[static_cast<std::size_t>(t)], {});
        if (read.ok() && cv::norm(read->grey, slope() - t, cv::NORM_INF) == 0) ++right;
        if (!room_->read(crashing, {}).ok()) ++right;
      }
    });
  for (std::thread& thread : threads) thread.join();
  EXPECT_EQ(right, 80);
}

TEST_F(Room, ARoomThatWasEndedFromOutsideIsSaidInWords) {
  for (const int child : children_of(::getpid()))
    if (std::find(before_.begin(), before_.end(), child) == before_.end()) ::kill(child, SIGKILL);
  const auto read = room_->read(kept("good.png", made_kind("png-8").make(slope(), {})), {});
  ASSERT_FALSE(read.ok());
  EXPECT_EQ(read.failure().code, "file-not-readable");
}

}  // namespace
}  // namespace tapersight
