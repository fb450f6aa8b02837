// Nothing that was recorded is ever lost or half-written: torn lines, kill -9, full disks, two writers at
// once.
#include "record/sled_log.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <clocale>
#include <fstream>
#include <iterator>

#include "support/temp_dir.h"

namespace tapersight {
namespace {

MeasurementEntry measurement(int number) {
  MeasurementEntry entry;
  entry.when = "2031-05-07T09:30:00Z";
  entry.source = "strip-" + std::to_string(number) + ".jpg";
  entry.theta = 1e-6 * number;
  entry.u = 1.25e-5;
  entry.dof = 37.5;
  return entry;
}

MoveEntry move_entry() {
  MoveEntry entry;
  entry.when = "2031-05-07T09:40:00Z";
  entry.by = "feelers";
  entry.move_mm = 2.4765;
  entry.u_mm = 0.0254;
  entry.pivot_distance_mm = 1143;
  entry.end = Side::kRight;
  entry.toward = Toward::kOperator;
  return entry;
}

std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

void write_bytes(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

std::vector<std::string> sources_of(const SledLog& log) {
  std::vector<std::string> sources;
  for (const RecordEntry& entry : log.entries) sources.push_back(std::get<MeasurementEntry>(entry).source);
  return sources;
}

TEST(RecordEntry, GoesThroughItsLineUnchanged) {
  MeasurementEntry m = measurement(1234567);
  m.theta = -0.1 / 3;
  m.source = "\"odd\" \\ name \xc3\xa9.jpg\n";
  const std::string line = to_line(m);
  EXPECT_EQ(line.find('\n'), std::string::npos);
  EXPECT_EQ(line.substr(0, kRecordPrefix.size()), kRecordPrefix);
  const auto back = std::get<MeasurementEntry>(*from_line(line));
  EXPECT_EQ(back.when, m.when);
  EXPECT_EQ(back.source, m.source);
  EXPECT_EQ(back.turns, m.turns);
  EXPECT_EQ(back.theta, m.theta);  // to the last bit
  EXPECT_EQ(back.u, m.u);
  EXPECT_EQ(back.dof, m.dof);
  m.dof = kInfiniteDof;
  EXPECT_EQ(std::get<MeasurementEntry>(*from_line(to_line(m))).dof, kInfiniteDof);

  const auto move = std::get<MoveEntry>(*from_line(to_line(move_entry())));
  EXPECT_EQ(move.by, "feelers");
  EXPECT_EQ(move.move_mm, 2.4765);
  EXPECT_EQ(move.u_mm, 0.0254);
  EXPECT_EQ(move.pivot_distance_mm, 1143);
  EXPECT_EQ(move.end, Side::kRight);
  EXPECT_EQ(move.toward, Toward::kOperator);
}

// A fixed line, so that files of today are read by the versions to come. Its CRC-32 was computed with another
// program (zlib's, through Python).
TEST(RecordEntry, TheFormatStaysReadable) {
  const char* line =
      R"({"schema":"tapersight.record.v1","kind":"move","when":"2031-05-07T09:40:00Z","by":"feelers","move_mm":2.4765,)"
      R"("u_mm":0.0254,"pivot_distance_mm":1143.0,"end":"right","toward":"operator","crc32":"c09c9cc1"})";
  EXPECT_EQ(to_line(move_entry()), line);
  EXPECT_TRUE(from_line(line).ok());
}

TEST(RecordEntry, InvalidUtf8InANameIsReplacedNotFatal) {
  MeasurementEntry m = measurement(1);
  m.source = "strip\xff.jpg";
  EXPECT_TRUE(from_line(to_line(m)).ok());
}

TEST(RecordEntry, AnyChangedByteIsFound) {
  const std::string line = to_line(measurement(3));
  for (std::size_t i = 0; i < line.size(); ++i) {
    std::string changed = line;
    changed[i] = static_cast<char>(changed[i] ^ 1);
    EXPECT_FALSE(from_line(changed).ok()) << changed;
  }
}

// The right end going away from the operator turns the fence counter-clockwise.
TEST(RecordEntry, IntendedTurnHasTheSignOfTheMove) {
  MoveEntry m = move_entry();
  EXPECT_DOUBLE_EQ(m.intended_turn(), -2.4765 / 1143);
  m.toward = Toward::kAwayFromOperator;
  EXPECT_DOUBLE_EQ(m.intended_turn(), 2.4765 / 1143);
  m.end = Side::kLeft;
  EXPECT_DOUBLE_EQ(m.intended_turn(), -2.4765 / 1143);
  m.toward = Toward::kOperator;
  EXPECT_DOUBLE_EQ(m.intended_turn(), 2.4765 / 1143);
}

// The move that is advised undoes the error that was measured.
TEST(RecordEntry, TheAdvisedMoveIntendsToUndoTheError) {
  for (const Side pivot : {Side::kLeft, Side::kRight})
    for (const double taper : {-0.004, 0.004}) {
      SledSetup setup;
      setup.pivot = pivot;
      setup.pivot_distance_mm = 900;
      const FenceError error = *fence_error({taper, 1e-5, kInfiniteDof}, setup);
      const FenceMove move = *correction_move(error, setup);
      MoveEntry entry = move_entry();
      entry.move_mm = move.move_mm;
      entry.pivot_distance_mm = 900;
      entry.end = move.end;
      entry.toward = move.toward;
      EXPECT_NEAR(entry.intended_turn(), -error.theta, 1e-15);
    }
}

TEST(SledLog, KeepsEntriesInOrder) {
  const TempDir dir;
  const std::string path = dir.file("bench-1.sled.jsonl");
  EXPECT_EQ(read_sled_log(path).failure().code, "no-record");
  for (int i = 0; i < 5; ++i) ASSERT_FALSE(append_entry(path, measurement(i)).has_value());
  ASSERT_FALSE(append_entry(path, move_entry()).has_value());
  const SledLog log = *read_sled_log(path);
  ASSERT_EQ(log.entries.size(), 6u);
  EXPECT_TRUE(log.damaged.empty());
  for (int i = 0; i < 5; ++i)
    EXPECT_EQ(std::get<MeasurementEntry>(log.entries[static_cast<std::size_t>(i)]).theta, 1e-6 * i);
  EXPECT_TRUE(std::holds_alternative<MoveEntry>(log.entries[5]));
}

// The last line torn after every possible byte: the others stand, and the next entry starts a line of its
// own.
TEST(SledLog, ATornLastLineSpoilsNothingElse) {
  const TempDir dir;
  const std::string path = dir.file("bench-2.sled.jsonl");
  const std::string first = to_line(measurement(1)) + "\n";
  const std::string second = to_line(measurement(2)) + "\n";
  for (std::size_t kept = 0; kept <= second.size(); ++kept) {
    write_bytes(path, first + second.substr(0, kept));
    const bool whole = kept + 1 >= second.size();  // all but the line's end is enough
    const SledLog before = *read_sled_log(path);
    ASSERT_EQ(before.entries.size(), whole ? 2u : 1u) << kept;
    ASSERT_EQ(before.damaged.size(), kept == 0 || whole ? 0u : 1u) << kept;
    ASSERT_FALSE(append_entry(path, measurement(3)).has_value());
    const SledLog after = *read_sled_log(path);
    const std::vector<std::string> torn{"strip-1.jpg", "strip-3.jpg"};
    const std::vector<std::string> all{"strip-1.jpg", "strip-2.jpg", "strip-3.jpg"};
    EXPECT_EQ(sources_of(after), whole ? all : torn) << kept;
    EXPECT_EQ(bytes_of(path).substr(0, first.size() + kept),
              first + second.substr(0, kept));  // nothing was taken away
  }
}

TEST(SledLog, AFileTornInItsFirstLineOrLeftAsZerosGoesOn) {
  const TempDir dir;
  const std::string path = dir.file("bench-3.sled.jsonl");
  for (const std::string& left :
       {std::string(), to_line(measurement(1)).substr(0, 10), std::string(300, '\0')}) {
    write_bytes(path, left);
    ASSERT_FALSE(append_entry(path, measurement(7)).has_value());
    EXPECT_THAT(sources_of(*read_sled_log(path)), ::testing::ElementsAre("strip-7.jpg"));
  }
}

TEST(SledLog, LeavesOtherFilesAlone) {
  const TempDir dir;
  const std::string path = dir.file("letter.txt");
  write_bytes(path, "Dear all,\nthe saw is back.\n");
  EXPECT_EQ(append_entry(path, measurement(1))->code, "not-a-record");
  EXPECT_EQ(bytes_of(path), "Dear all,\nthe saw is back.\n");
  EXPECT_EQ(read_sled_log(path).failure().code, "not-a-record");
  for (const char* other :
       {"{\n  \"name\": 1\n}\n", "\n\nDear all", "{\"schema\":\"tapersight.measurement.v1\"}\n"}) {
    write_bytes(path, other);
    EXPECT_EQ(append_entry(path, measurement(1))->code, "not-a-record") << other;
    EXPECT_EQ(read_sled_log(path).failure().code, "not-a-record") << other;
    EXPECT_EQ(bytes_of(path), other);
  }
  EXPECT_EQ(append_entry(dir.file("."), measurement(1))->code, "record-not-written");
  EXPECT_EQ(read_sled_log(dir.file(".")).failure().code, "record-unreadable");
  EXPECT_EQ(append_entry(dir.file("no/such/folder"), measurement(1))->code, "record-not-written");
  EXPECT_EQ(append_entry("/dev/full", measurement(1))->code, "record-not-written");
  // A pipe would keep a reader, and a writer, waiting for ever.
  ASSERT_EQ(::mkfifo(dir.file("pipe").c_str(), 0600), 0);
  EXPECT_EQ(append_entry(dir.file("pipe"), measurement(1))->code, "record-not-written");
  EXPECT_EQ(read_sled_log(dir.file("pipe")).failure().code, "record-unreadable");
}

TEST(SledLog, RefusesEntriesThatCannotBe) {
  const TempDir dir;
  const std::string path = dir.file("bench-4.sled.jsonl");
  MeasurementEntry m = measurement(1);
  m.when = "yesterday";
  EXPECT_EQ(append_entry(path, m)->code, "bad-entry");
  m = measurement(1);
  m.theta = std::nan("");
  EXPECT_EQ(append_entry(path, m)->code, "bad-entry");
  m = measurement(1);
  m.u = -1;
  EXPECT_EQ(append_entry(path, m)->code, "bad-entry");
  for (const auto& [u, dof] : {std::pair{1e-5, 1e-300}, {1e-5, 0.49}, {1e300, 9.0}}) {
    m = measurement(1);
    m.u = u;
    m.dof = dof;
    const std::string line = to_line(m);  // its sum is right
    EXPECT_EQ(append_entry(path, m)->code, "bad-entry") << line;
    EXPECT_EQ(from_line(line).failure().code, "line-damaged") << line;
  }
  MoveEntry move = move_entry();
  move.pivot_distance_mm = 0;
  EXPECT_EQ(append_entry(path, move)->code, "bad-entry");
  move = move_entry();
  move.u_mm = 1e300;
  EXPECT_EQ(append_entry(path, move)->code, "bad-entry");
  move = move_entry();
  move.move_mm = -1;
  EXPECT_EQ(append_entry(path, move)->code, "bad-entry");
  move = move_entry();
  move.toward = Toward::kNowhere;
  EXPECT_EQ(append_entry(path, move)->code, "bad-entry");
  move = move_entry();
  move.move_mm = 500;
  EXPECT_EQ(append_entry(path, move)->code, "bad-entry");
  EXPECT_FALSE(std::ifstream(path).good());  // not even an empty file was made
}

// Runs `body` in a child process and returns its exit status.
template <typename Body>
int in_child(Body body) {
  const pid_t child = ::fork();
  if (child == 0) ::_exit(body());
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

// A disk that fills up in the middle of the line (here: a limit on the file's size): the entry is refused,
// and the file is byte for byte what it was.
TEST(SledLog, AFullDiskLeavesTheFileAsItWas) {
  const TempDir dir;
  const std::string path = dir.file("bench-5.sled.jsonl");
  for (int i = 0; i < 3; ++i) ASSERT_FALSE(append_entry(path, measurement(i)).has_value());
  const std::string before = bytes_of(path);
  for (const std::size_t room : {0u, 1u, 20u, 100u}) {
    const int status = in_child([&] {
      ::signal(SIGXFSZ, SIG_IGN);
      const rlimit limit{before.size() + room, before.size() + room};
      ::setrlimit(RLIMIT_FSIZE, &limit);
      const auto failure = append_entry(path, measurement(3));
      return failure && failure->code == "record-not-written" ? 42 : 1;
    });
    EXPECT_EQ(status, 42) << room;
    EXPECT_EQ(bytes_of(path), before) << room;
  }
  EXPECT_FALSE(append_entry(path, measurement(3)).has_value());
  EXPECT_EQ(read_sled_log(path)->entries.size(), 4u);
}

// Several processes at once: every entry arrives whole, each process's in its own order.
TEST(SledLog, TwoOrMoreWritersAtOnceLoseNothing) {
  const TempDir dir;
  const std::string path = dir.file("bench-6.sled.jsonl");
  const int writers = 4;
  const int each = 40;
  std::vector<pid_t> children;
  for (int writer = 0; writer < writers; ++writer) {
    const pid_t child = ::fork();
    if (child == 0) {
      for (int i = 0; i < each; ++i)
        if (append_entry(path, measurement(1000 * writer + i))) ::_exit(1);
      ::_exit(0);
    }
    children.push_back(child);
  }
  for (const pid_t child : children) {
    int status = -1;
    ::waitpid(child, &status, 0);
    EXPECT_EQ(status, 0);
  }
  const SledLog log = *read_sled_log(path);
  EXPECT_TRUE(log.damaged.empty());
  ASSERT_EQ(log.entries.size(), static_cast<std::size_t>(writers * each));
  std::vector<int> next(writers, 0);
  for (const std::string& source : sources_of(log)) {
    const int number = std::stoi(source.substr(6));
    EXPECT_EQ(number % 1000, next[static_cast<std::size_t>(number / 1000)]++);
  }
}

// Killed at any moment: whatever append_entry had acknowledged is there, and the record goes on.
TEST(SledLog, KillNineLosesNothingThatWasAcknowledged) {
  const TempDir dir;
  const std::string path = dir.file("bench-7.sled.jsonl");
  int acknowledged_before = 0;
  for (int round = 0; round < 12; ++round) {
    int pipe_ends[2];
    ASSERT_EQ(::pipe(pipe_ends), 0);
    const pid_t child = ::fork();
    if (child == 0) {
      for (int i = 0;; ++i) {
        if (append_entry(path, measurement(i))) ::_exit(1);
        if (::write(pipe_ends[1], "+", 1) != 1) ::_exit(1);
      }
    }
    ::close(pipe_ends[1]);
    int acknowledged = 0;
    char mark = 0;
    while (acknowledged < 3 + round && ::read(pipe_ends[0], &mark, 1) == 1) ++acknowledged;
    ::kill(child, SIGKILL);
    while (::read(pipe_ends[0], &mark, 1) == 1) ++acknowledged;
    ::close(pipe_ends[0]);
    ::waitpid(child, nullptr, 0);
    const SledLog log = *read_sled_log(path);
    const int entries = static_cast<int>(log.entries.size());
    EXPECT_GE(entries, acknowledged_before + acknowledged);
    EXPECT_LE(entries, acknowledged_before + acknowledged + 1);  // at most one that was not yet acknowledged
    EXPECT_LE(log.damaged.size(), static_cast<std::size_t>(round) + 1);
    acknowledged_before = entries;
  }
  ASSERT_FALSE(append_entry(path, measurement(9)).has_value());
  EXPECT_EQ(static_cast<int>(read_sled_log(path)->entries.size()), acknowledged_before + 1);
}

// Numbers are written and read with a point whatever the locale says.
TEST(SledLog, TheLocaleChangesNothing) {
  const std::string before = to_line(measurement(5));
  for (const char* name : {"de_DE.UTF-8", "fr_FR.UTF-8", "C"}) {
    if (std::setlocale(LC_ALL, name) == nullptr) continue;  // not installed on every machine
    EXPECT_EQ(to_line(measurement(5)), before);
    EXPECT_EQ(std::get<MeasurementEntry>(*from_line(before)).theta, 1e-6 * 5);
  }
  std::setlocale(LC_ALL, "C");
}

TEST(SledFileName, IsSafeInAnyFolder) {
  EXPECT_EQ(*sled_file_name("bench 4"), "bench-4.sled.jsonl");
  EXPECT_EQ(*sled_file_name(" B_2.1 "), "B_2.1.sled.jsonl");
  for (const char* name : {"", "  ", "..", ".hidden", "a/b", "a\\b", "../x", "caf\xc3\xa9", "a\nb"})
    EXPECT_EQ(sled_file_name(name).failure().code, "bad-sled-name") << name;
  EXPECT_FALSE(sled_file_name(std::string(61, 'a')).ok());
}

TEST(UtcText, IsTheFormThatEntriesWant) {
  EXPECT_EQ(utc_text(0), "1970-01-01T00:00:00Z");
  EXPECT_EQ(utc_text(951782400), "2000-02-29T00:00:00Z");
}

}  // namespace
}  // namespace tapersight
