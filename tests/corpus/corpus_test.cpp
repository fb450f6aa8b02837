// More than 150 odd and bad inputs: each ends as the table says, within its memory and time, with one
// sentence and one remedy; and the same strip in every format gives the same taper.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "base/files.h"
#include "corpus/corpus_scan.h"
#include "support/hostile_files.h"
#include "support/made_files.h"
#include "support/temp_dir.h"

namespace tapersight::testing {
namespace {

namespace fs = std::filesystem;

// For one small picture, whatever is in the file: far below the program's limit of 1024 MB.
// With the address sanitizer memory is its own, and no figure of the program.
#ifdef __SANITIZE_ADDRESS__
constexpr double kMostMb = 3000;
#else
constexpr double kMostMb = 300;
#endif
constexpr double kReadingMb =
    1024 + 60;                       // what the program says of itself for reading a picture, and its own
constexpr double kMostSeconds = 10;  // of processor time

constexpr int kMeasured = 0, kWrongUsage = 2, kRefused = 3, kFileTrouble = 4;

struct Case {
  std::string name;
  std::vector<std::string> arguments;  // behind "measure"
  int status;
  std::string says;  // a part of what stands on stderr
  double most_mb = kMostMb;
};

const char* const kCutOff = "is cut off or damaged";
const char* const kTooLarge = "more than the limit of";
const char* const kNoPicture = "is not a picture that can be read";

class Corpus {
 public:
  Corpus() {
    every_kind();
    spoilt_files();
    bombs();
    made_to_do_harm();
    everyday();
    names_and_places();
    texts();
    pages();
  }
  std::vector<Case> cases;

 private:
  std::string keep(const std::string& name, const std::string& bytes) {
    const std::string path = dir_.file(name);
    if (!write_file_whole(path, bytes)) throw std::runtime_error(name);
    return path;
  }
  void add(const std::string& name, const std::string& bytes, int status, const std::string& says,
           std::vector<std::string> options = {}) {
    options.insert(options.begin(), keep(name, bytes));
    cases.push_back({name, std::move(options), status, says});
  }

  static cv::Mat small_picture() {
    cv::Mat grey(90, 120, CV_8UC1);
    for (int y = 0; y < grey.rows; ++y)
      for (int x = 0; x < grey.cols; ++x) grey.at<uchar>(y, x) = static_cast<uchar>(x + y);
    return grey;
  }

  // Whole, cut in half, without its last eighth, and beyond a limit.
  void every_kind() {
    for (const MadeKind& kind : made_kinds()) {
      const std::string small = kind.make(small_picture(), {kScanDpi, 1});
      add(kind.name + ".no-sheet", small, kRefused, "");
      add(kind.name + ".half", small.substr(0, small.size() / 2), kFileTrouble, kCutOff);
      add(kind.name + ".seven-eighths", small.substr(0, small.size() * 7 / 8), kFileTrouble, kCutOff);
    }
    for (const char* name :
         {"jpeg-colour", "png-16", "tiff-8", "bmp-8", "webp-lossless", "heic", "pgm", "pdf-jpeg"})
      add(std::string(name) + ".over-limit", made_kind(name).make(corpus_scan().grey, {kScanDpi, 1}),
          kFileTrouble, kTooLarge, {"--max-megapixels", "1"});
  }

  void spoilt_files() {
    add("empty", "", kFileTrouble, "is empty");
    add("letter.txt", "Dear saw, please be square.\n", kFileTrouble, kNoPicture);
    add("zeros.jpg", std::string(4096, '\0'), kFileTrouble, kNoPicture);
    add("ones.png", std::string(4096, '\xff'), kFileTrouble, kNoPicture);
    add("gif.gif", "GIF89a" + std::string(100, '\1'), kFileTrouble, kNoPicture);
    for (const std::string& mark :
         {std::string("\xff\xd8\xff"), std::string("\x89PNG\r\n\x1a\n"), std::string("II*\0", 4),
          std::string("MM\0*", 4), std::string("BM") + std::string(20, '\0'),
          std::string("RIFF\0\0\0\0WEBP", 12),
          std::string("\0\0\0\x18"
                      "ftypheic",
                      12),
          std::string("P5\n"), std::string("%PDF-1.4\n")})
      add("only-the-mark-" + std::to_string(cases.size()), mark, kFileTrouble, kCutOff);
    const std::string jpeg = made_kind("jpeg-grey").make(small_picture(), {kScanDpi, 1});
    add("rubbish-behind.jpg", jpeg + std::string(1000, 'x'), kRefused, "");
    add("zeros-within.png", made_kind("png-8").make(small_picture(), {}).replace(60, 20, 20, '\0'),
        kFileTrouble, kCutOff);
    add("one-pixel.png", made_kind("png-8").make(cv::Mat(1, 1, CV_8UC1, cv::Scalar(9)), {}), kRefused, "");
    add("one-row.png", made_kind("png-8").make(cv::Mat(1, 9000, CV_8UC1, cv::Scalar(9)), {}), kRefused, "");
    add("one-column.png", made_kind("png-8").make(cv::Mat(9000, 1, CV_8UC1, cv::Scalar(9)), {}), kRefused,
        "");
    add("black.png", made_kind("png-8").make(cv::Mat(600, 400, CV_8UC1, cv::Scalar(0)), {}), kRefused, "");
    add("white.png", made_kind("png-8").make(cv::Mat(600, 400, CV_8UC1, cv::Scalar(255)), {}), kRefused, "");
  }

  static std::string png_of(unsigned width, unsigned height, const std::string& data) {
    return "\x89PNG\r\n\x1a\n" +
           png_chunk("IHDR", big_endian(width, 4) + big_endian(height, 4) + std::string("\x08\0\0\0\0", 5)) +
           png_chunk("IDAT", data) + png_chunk("IEND", "");
  }

  // Small files that say or hold a great deal.
  void bombs() {
    add("giant.png", png_of(100000, 100000, deflated("x")), kFileTrouble, kTooLarge);
    add("too-much-behind.png", png_of(8, 8, deflated(std::string(64U << 20, '\0'))), kRefused, "");
    add("text-bomb.png",
        png_of(8, 8, deflated(std::string(72, '\0')))
            .insert(33,
                    png_chunk("zTXt", std::string("Comment\0\0", 9) + deflated(std::string(64U << 20, 'a')))),
        kRefused, "");
    std::string jpeg = made_kind("jpeg-grey").make(small_picture(), {});
    const std::size_t frame = jpeg.find("\xff\xc0");
    jpeg.replace(frame + 5, 4, "\xfd\xe8\xfd\xe8");
    add("giant.jpg", jpeg, kFileTrouble, kTooLarge);
    std::string scans = made_kind("jpeg-progressive").make(small_picture(), {});
    const std::size_t last = scans.rfind("\xff\xda");
    const std::string scan = scans.substr(last, scans.size() - 2 - last);
    for (int i = 0; i < 2000; ++i) scans.insert(scans.size() - 2, scan);
    add("many-scans.jpg", scans, kFileTrouble, "");
    std::string bmp = made_kind("bmp-8").make(small_picture(), {});
    bmp.replace(18, 8, little_endian(90000, 4) + little_endian(90000, 4));
    add("giant.bmp", bmp, kFileTrouble, kTooLarge);
    add("giant.pgm", "P5 99999 99999 255\n", kFileTrouble, kTooLarge);
    const std::string gray = "/ColorSpace/DeviceGray/BitsPerComponent 8/Filter/FlateDecode";
    add("giant.pdf", made_pdf({{gray, deflated("x"), 90000, 90000, 72, 72, 0, ""}}), kFileTrouble, kTooLarge);
    add("too-much-behind.pdf",
        made_pdf({{gray, deflated(std::string(64U << 20, '\0')), 8, 8, 72, 72, 0, ""}}), kRefused, "");
    add("content-bomb.pdf", made_pdf({{gray, deflated("x"), 8, 8, 72, 72, 0, std::string(9U << 20, ' ')}}),
        kFileTrouble, kCutOff);
    add("structure-bomb.pdf",
        "%PDF-1.5\n1 0 obj\n<</Type/ObjStm/Filter/FlateDecode/Length 65219>>\nstream\n" +
            deflated(std::string(64U << 20, ' ')) + "\nendstream\nendobj\n",
        kFileTrouble, "is not one plain picture");
  }

  // Each once crashed the program, filled the memory or took minutes. Their limit of time is the default's.
  void made_to_do_harm() {
    for (const HostileFile& file : hostile_files()) add(file.name, file.bytes, kFileTrouble, "");
    add("many-texts.png", png_of_texts(990), kRefused, "");
    add("exif-pointers.jpg", jpeg_of_exif_pointers(200), kRefused, "");
    for (Case& c : cases)
      if (c.name == "large-overlays.heic") c.most_mb = kReadingMb;
  }

  // Papers and floors on which nothing is to be measured, and a sheet that lies on one. 300 dpi, A4; the
  // search is bounded by work, which kMostSeconds of processor time is ten times of.
  void everyday() {
    constexpr int kWide = 2480, kHigh = 3508;
    const auto png = [](const cv::Mat& grey) { return made_kind("png-8").make(grey, {300, 1}); };
    const auto pattern = [](auto&& code) {
      cv::Mat grey(kHigh, kWide, CV_8UC1);
      for (int y = 0; y < kHigh; ++y)
        for (int x = 0; x < kWide; ++x) grey.at<uchar>(y, x) = static_cast<uchar>(code(x, y));
      return grey;
    };
    const cv::Mat millimetres = pattern([](int x, int y) { return x % 12 < 2 || y % 12 < 2 ? 60 : 235; });
    add("millimetre-paper.png", png(millimetres), kRefused, "");
    add("gingham.png", png(pattern([](int x, int y) { return 235 - 95 * (x / 24 % 2 + y / 24 % 2); })),
        kRefused, "");
    const cv::Mat tiles = pattern([](int x, int y) { return x % 24 < 6 || y % 24 < 6 ? 230 : 50; });
    add("small-tiles.png", png(tiles), kRefused, "");
    const auto bit = [](int x, int y) { return (x * 7919 + y * 104729 + x * y * 31) % 97 < 48; };
    const auto little = [&](int x, int y) {
      const int u = x % 56 / 6, v = y % 56 / 6;
      if (u > 6 || v > 6) return 235;
      return u == 0 || v == 0 || u == 6 || v == 6 || bit(x / 56 * 7 + u, y / 56 * 7 + v) ? 30 : 230;
    };
    add("little-markers.png", png(pattern(little)), kRefused, "");
    for (const auto& [name, ground] :
         {std::pair{"sheet-on-millimetres.png", millimetres}, std::pair{"sheet-on-tiles.png", tiles}}) {
      cv::Mat picture = ground.clone();
      const cv::Mat& scan = corpus_scan().grey;
      scan.copyTo(picture({(kWide - scan.cols) / 2, (kHigh - scan.rows) / 2, scan.cols, scan.rows}));
      add(name, png(picture), kMeasured, "");
    }
  }

  void names_and_places() {
    const std::string png = made_kind("png-8").make(corpus_scan().grey, {kScanDpi, 1});
    for (const char* name : {"with spaces in it.png", "line\nbreak.png", "-leading-dash.png",
                             "\xc3\xa4\xc3\xb6 \xe6\x9c\xa8.png", "not\xff\xfeutf8.png", "quote'\"$(x).png",
                             "no-ending", "wrong-ending.jpg", "escape\x1b[2J.png"})
      add(name, png, kMeasured, "");
    cases.push_back({"folder", {dir_.path().string()}, kFileTrouble, "it is a folder"});
    cases.push_back({"folder's remedy", {dir_.path().string()}, kFileTrouble, "'tapersight batch'"});
    cases.push_back({"folder beside a picture",
                     {dir_.file("no-ending"), dir_.path().string()},
                     kFileTrouble,
                     "'tapersight batch'"});
    cases.push_back({"missing", {dir_.file("nowhere.png")}, kFileTrouble, "Cannot read"});
    cases.push_back({"device", {"/dev/zero"}, kFileTrouble, "it is not a regular file"});
    ::mkfifo(dir_.file("pipe").c_str(), 0600);
    cases.push_back({"pipe", {dir_.file("pipe")}, kFileTrouble, "it is not a regular file"});
    fs::create_symlink(dir_.file("round"), dir_.file("round"));
    cases.push_back({"round link", {dir_.file("round")}, kFileTrouble, "Cannot read"});
    fs::create_symlink(dir_.file("no-ending"), dir_.file("link.png"));
    cases.push_back({"link", {dir_.file("link.png")}, kMeasured, ""});
    // Outputs over the input, under its own and under other names.
    fs::create_hard_link(dir_.file("no-ending"), dir_.file("hard.png"));
    const std::string picture = dir_.file("no-ending");
    for (const std::string& output :
         {picture, dir_.file("./no-ending"), dir_.file("link.png"), dir_.file("hard.png")})
      cases.push_back(
          {"json over " + output, {picture, "--json", output}, kWrongUsage, "would be written over"});
    for (const char* output : {"link.png", "hard.png"})
      cases.push_back({std::string("overlay over ") + output,
                       {picture, "--overlay", dir_.file(output)},
                       kWrongUsage,
                       "would be written over"});
    cases.push_back({"json into no folder",
                     {picture, "--json", dir_.file("no/such/folder.json")},
                     kFileTrouble,
                     "Cannot write"});
    cases.push_back(
        {"json over a folder", {picture, "--json", dir_.path().string()}, kFileTrouble, "it is a folder"});
    cases.push_back({"device for an output", {picture, "--json", "/dev/full"}, kFileTrouble, "Cannot write"});
    for (const char* option : {"--json", "--report", "--overlay"}) {
      const std::string ending = option == std::string("--overlay") ? ".png" : ".html";
      ::mkfifo(dir_.file("out-pipe" + ending).c_str(), 0600);
      std::error_code ignored;
      fs::create_symlink(dir_.file("elsewhere" + ending), dir_.file("out-link" + ending), ignored);
      cases.push_back({std::string(option) + " into a pipe",
                       {picture, option, dir_.file("out-pipe" + ending)},
                       kFileTrouble,
                       "it is not a regular file"});
      cases.push_back({std::string(option) + " into a link",
                       {picture, option, dir_.file("out-link" + ending)},
                       kFileTrouble,
                       "it is a symbolic link"});
    }
    cases.push_back({"json of the longest name",
                     {picture, "--json", dir_.file(std::string(250, 'n') + ".json")},
                     kMeasured,
                     ""});
    const std::string file_limit =
        keep("over-a-megabyte.pgm", "P5 1200 1200 255\n" + std::string(1440000, '\x80'));
    cases.push_back({"file limit", {file_limit, "--max-file-mb", "1"}, kFileTrouble, kTooLarge});
    cases.push_back({"memory limit", {file_limit, "--max-memory-mb", "1"}, kFileTrouble, kTooLarge});
    cases.push_back(
        {"time limit", {picture, "--max-seconds", "0.001"}, kFileTrouble, "took longer than 0.001 s"});
    cases.push_back({"no time at all", {picture, "--max-seconds", "0"}, kWrongUsage, ""});
    cases.push_back({"limit of nothing", {file_limit, "--max-memory-mb", "0"}, kWrongUsage, ""});
  }

  // What stands beside a picture: sleds' files, readings and records that are no such thing.
  void texts() {
    const auto repeated = [](const std::string& text, int times) {
      std::string all;
      for (int i = 0; i < times; ++i) all += text;
      return all;
    };
    const std::string picture = dir_.file("no-ending");
    const auto config = [&](const std::string& name, const std::string& text, int status,
                            const std::string& says) {
      cases.push_back({name, {picture, "--config", keep(name, text)}, status, says});
    };
    config("nested-10000.toml", "turns = " + repeated("[", 10000) + repeated("]", 10000), kWrongUsage,
           "a line of more than a thousand characters");
    config("nested-50000.toml", "a" + repeated(".a", 50000) + " = 1\n", kWrongUsage,
           "a line of more than a thousand characters");
    config("sections.toml", repeated("[a.b.c]\n", 900), kWrongUsage, "which is not a sled's option");
    config("nested-lists.toml", repeated("turns = [[[[[[[[[[4]]]]]]]]]]\n", 900), kWrongUsage, "");
    config("many-lines.toml", repeated("# a remark\n", 2000), kWrongUsage, "more than a thousand lines");
    config("large.toml", repeated("# a remark\n", 200000), kFileTrouble, "more than 1024 kB");
    cases.push_back(
        {"a-million-readings.csv",
         {picture, "--caliper", keep("a-million-readings.csv", "fence end" + repeated(", .571", 140000))},
         kWrongUsage,
         "more than 1000 readings"});
    cases.push_back(
        {"readings-of-7-MB.csv",
         {picture, "--caliper", keep("readings-of-7-MB.csv", "fence end" + repeated(", .571", 1000000))},
         kFileTrouble,
         "more than 1024 kB"});
    ::mkfifo(dir_.file("piped.sled.jsonl").c_str(), 0600);
    cases.push_back({"a pipe for a record",
                     {picture, "--record", "piped", "--record-folder", dir_.path().string()},
                     kFileTrouble,
                     "it is not a file"});
  }

  void pages() {
    const std::string tiff = made_tiff(small_picture(), {kScanDpi, 1}, "tiff-8", 3);
    add("three-pages.tif", tiff, kWrongUsage, "has 3 pages");
    add("third-page.tif", tiff, kRefused, "", {"--page", "3"});
    add("fourth-page.tif", tiff, kWrongUsage, "has no page 4", {"--page", "4"});
    add("page-nought.tif", tiff, kWrongUsage, "", {"--page", "0"});
    add("page-of-one.png", made_kind("png-8").make(small_picture(), {}), kWrongUsage, "has no page 2",
        {"--page", "2"});
  }

  TempDir dir_;
};

std::string on_one_line(const std::string& text) {
  std::string line;
  for (const char c : text) {
    const char plain = c == '\n' ? ' ' : c;
    if (plain != ' ' || line.empty() || line.back() != ' ') line += plain;
  }
  return line;
}

bool one_sentence_and_one_remedy(const std::string& err) {
  return err.rfind("tapersight: ", 0) == 0 && err.find("\n            ") != std::string::npos &&
         err.find("internal") == std::string::npos &&
         err.find("Something went wrong inside") == std::string::npos;
}

TEST(CorpusOfInputs, EndAsTheTableSaysWithinMemoryAndTime) {
  const Corpus corpus;
  EXPECT_GE(corpus.cases.size(), 150U);
  double worst_mb = 0, worst_s = 0, all_s = 0;
  for (const Case& c : corpus.cases) {
    std::vector<std::string> arguments{"measure"};
    arguments.insert(arguments.end(), c.arguments.begin(), c.arguments.end());
    const TakenRun run = run_and_take(arguments);
    EXPECT_EQ(run.status, c.status) << c.name << ": " << run.err;
    EXPECT_THAT(on_one_line(run.err), ::testing::HasSubstr(c.says)) << c.name;
    const bool told = run.status <= kWrongUsage || one_sentence_and_one_remedy(run.err);
    EXPECT_TRUE(told) << c.name << ": " << run.err;
    EXPECT_EQ(run.out.find('\x1b'), std::string::npos) << c.name;
    EXPECT_EQ(run.err.find('\x1b'), std::string::npos) << c.name;
    EXPECT_LT(run.peak_mb, c.most_mb) << c.name;
    EXPECT_LT(run.cpu_s, kMostSeconds) << c.name;
    worst_mb = std::max(worst_mb, run.peak_mb);
    worst_s = std::max(worst_s, run.cpu_s);
    all_s += run.cpu_s;
  }
  std::printf("%zu inputs, at most %.0f MB and %.2f s each, %.1f s together\n", corpus.cases.size(), worst_mb,
              worst_s, all_s);
}

struct Taper {
  double value = 0, expanded = 0;
};

Taper taper_of(const std::string& json) {
  const auto result = nlohmann::json::parse(json);
  const double k = result.at("fence").at("coverage_factor").get<double>();
  return {result.at("strip").at("taper").get<double>(), k * result.at("strip").at("taper_u").get<double>()};
}

class SameStrip : public ::testing::TestWithParam<std::string> {};

TEST_P(SameStrip, GivesTheSameTaper) {
  const TempDir dir;
  const MadeKind& kind = made_kind(GetParam());
  ASSERT_TRUE(write_file_whole(dir.file("scan"), kind.make(corpus_scan().grey, {kScanDpi, 1})).ok());
  const TakenRun run = run_and_take({"measure", dir.file("scan"), "--json", "-"});
  ASSERT_EQ(run.status, 0) << run.err;
  const Taper taper = taper_of(run.out);
  EXPECT_LT(std::abs(taper.value - corpus_scan().truth.taper), taper.expanded);
}

// Pictures of two tones are not held to it: their edges have no place within a pixel.
std::vector<std::string> kinds_with_tones() {
  std::vector<std::string> names;
  for (const MadeKind& kind : made_kinds())
    if (kind.grey_steps < 40) names.push_back(kind.name);
  return names;
}

std::string test_name(const ::testing::TestParamInfo<std::string>& info) {
  std::string name = info.param;
  for (char& c : name)
    if (c == '-') c = '_';
  return name;
}

INSTANTIATE_TEST_SUITE_P(Formats, SameStrip, ::testing::ValuesIn(kinds_with_tones()), test_name);

}  // namespace
}  // namespace tapersight::testing
