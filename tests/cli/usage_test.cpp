// Wrong usage is status 2, says why on stderr, prints and writes nothing; help and version are right.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <sstream>

#include "cli/scan_fixture.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using testing::run_tapersight;
using testing::sample_scan;

std::vector<std::string> words(const std::string& line) {
  std::istringstream stream(line);
  std::vector<std::string> all;
  for (std::string word; stream >> word;) all.push_back(word);
  return all;
}

class WrongUsage : public ::testing::TestWithParam<const char*> {};

TEST_P(WrongUsage, IsStatus2AndWritesNothing) {
  testing::expect_wrong_usage(words(GetParam()));
}

INSTANTIATE_TEST_SUITE_P(General, WrongUsage,
                         ::testing::Values("", "polish", "--colour", "measure", "measure --json OUT.json",
                                           "measure SCAN SCAN", "measure SCAN --json", "measure SCAN --shiny",
                                           "target", "correct", "target --paper a4 measure SCAN"));

INSTANTIATE_TEST_SUITE_P(
    Target, WrongUsage,
    ::testing::Values("target --paper a4", "target --out OUT.pdf", "target --paper a5 --out OUT.pdf",
                      "target --paper a4 --out OUT.pdf --describe", "target --paper a4 --out OUT.doc",
                      "target --paper a4 --out OUT", "target --paper a4 --out OUT.pdf --dpi 600",
                      "target --paper a4 --describe --dpi 600", "target --paper a4 --out OUT.png --dpi 10",
                      "target --paper a4 --out OUT.png --dpi 9999",
                      "target --paper a4 --out OUT.png --dpi fine"));

INSTANTIATE_TEST_SUITE_P(
    Lengths, WrongUsage,
    ::testing::Values("measure SCAN --json OUT.json --pivot-distance long",
                      "measure SCAN --json OUT.json --pivot-distance 0", "measure SCAN --pivot-distance -3in",
                      "measure SCAN --json OUT.json --cut-length 0in", "measure SCAN --cut-length 12furlongs",
                      "measure SCAN --json OUT.json --bar-x 1,905mm", "measure SCAN --bar-x 10mm",
                      "measure SCAN --json OUT.json --bar-y 6in", "measure SCAN --bar-y nan"));

INSTANTIATE_TEST_SUITE_P(SetUp, WrongUsage,
                         ::testing::Values("measure SCAN --json OUT.json --turns 0",
                                           "measure SCAN --turns 101", "measure SCAN --turns 4.5",
                                           "measure SCAN --turns four", "measure SCAN --turns 1e30",
                                           "measure SCAN --turns 1", "measure SCAN --turns 3",
                                           "measure SCAN --turns 8", "measure SCAN --fence left",
                                           "measure SCAN --strip-falls near", "measure SCAN --units cubits",
                                           "measure SCAN --pivot middle --pivot-distance 45in",
                                           "measure SCAN --pivot left"));

INSTANTIATE_TEST_SUITE_P(
    Mode, WrongUsage,
    ::testing::Values(
        "measure SCAN --json OUT.json --region 1,2,300,400", "measure SCAN --fence-end-at top",
        "measure SCAN --without-target --bar-x 6in", "measure SCAN --without-target --bar-y 8in",
        "measure SCAN --without-target --fence-end-at middle", "measure SCAN --without-target --region 1,2,3",
        "measure SCAN --without-target --region 1,2,3,0", "measure SCAN --without-target --region 1,2,3,4,5",
        "measure SCAN --without-target --region 1,2,3,x", "measure SCAN --without-target --region -1,2,3,4",
        "measure SCAN --without-target --json OUT.json --region 0,0,99999,10",
        "measure SCAN --overlay OUT.jpg", "measure SCAN --overlay -", "measure SCAN --report OUT.pdf",
        "measure SCAN --report OUT", "measure SCAN --report -", "measure SCAN --report",
        "measure SCAN --report OUT.html --json OUT.html"));

INSTANTIATE_TEST_SUITE_P(
    Widths, WrongUsage,
    ::testing::Values("correct --fence-end 1in --far-end 1in", "correct --fence-end 1in --apart 7in",
                      "correct --fence-end 0 --far-end 1in --apart 7in --json OUT.json",
                      "correct --fence-end 1in --far-end wide --apart 7in",
                      "correct --fence-end 1in --far-end 1in --apart 0in",
                      "correct --fence-end 3in --far-end 1in --apart 7in --json OUT.json"));

// Behind two widths; D stands for a pivot distance.
class NonsenseAdvice : public ::testing::TestWithParam<std::vector<std::string>> {};

TEST_P(NonsenseAdvice, IsRefusedWithASentence) {
  const TempDir dir;
  std::vector<std::string> arguments{"correct", "--fence-end", ".571",   "--far-end",         ".506",
                                     "--apart", "7.5",         "--json", dir.file("out.json")};
  for (const std::string& argument : GetParam())
    if (argument == "D")
      arguments.insert(arguments.end(), {"--pivot-distance", "45"});
    else
      arguments.push_back(argument);
  const auto run = run_tapersight(arguments);
  EXPECT_EQ(run.status, 2) << run.out << run.err;
  EXPECT_EQ(run.out, "");
  EXPECT_THAT(run.err, HasSubstr("tapersight: "));
  EXPECT_TRUE(std::filesystem::is_empty(dir.path()));
}

using Line = std::vector<std::string>;
INSTANTIATE_TEST_SUITE_P(Tolerance, NonsenseAdvice,
                         ::testing::Values(Line{"--tolerance", "2"}, Line{"--tolerance", "0deg"},
                                           Line{"--tolerance", "-1mm/m"}, Line{"--tolerance", "2thou"},
                                           Line{"--tolerance", ""}, Line{"--tolerance", "square"}));
INSTANTIATE_TEST_SUITE_P(Adjuster, NonsenseAdvice,
                         ::testing::Values(Line{"--adjust", "hammer", "D"}, Line{"--adjust", "screw", "D"},
                                           Line{"--adjust", "screw", "--thread", "fine", "D"},
                                           Line{"--adjust", "feelers"}, Line{"--feelers", "inch-32"},
                                           Line{"--feelers", "", "D"}, Line{"--feelers", "inch-99", "D"},
                                           Line{"--feelers", "1thou,0", "D"},
                                           Line{"--feelers", "1thou,-2thou", "D"},
                                           Line{"--feelers", "1thou,,2thou", "D"}, Line{"--spacers", "", "D"},
                                           Line{"--adjust", "shims", "--shims", "", "D"},
                                           Line{"--adjust", "shims", "--shims", "leather", "D"},
                                           Line{"--adjust", "shims", "--shims", "card=0", "D"},
                                           Line{"--adjust", "indicator", "--indicator", "1thou", "D"},
                                           Line{"--adjust", "indicator", "--indicator", "0.1in/1thou", "D"}));
INSTANTIATE_TEST_SUITE_P(
    DoesNothing, NonsenseAdvice,
    ::testing::Values(Line{"--adjust", "shims", "--thread", "M6", "D"}, Line{"--thread", "M6", "D"},
                      Line{"--shims", "index card", "D"}, Line{"--indicator", "1thou/0.1in", "D"},
                      Line{"--adjust", "screw", "--thread", "M6", "--feelers", "inch-32", "D"},
                      Line{"--adjust", "screw", "--thread", "M6", "--spacers", "1/8in", "D"},
                      Line{"--lean", "clockwise"}, Line{"--mitred-ends", "1"}, Line{"--record-folder", "x"},
                      Line{"--ring-pieces", "4", "--turns", "4"},
                      Line{"--ring-pieces", "4", "--fence", "far"},
                      Line{"--ring-pieces", "4", "--strip-falls", "left"}, Line{"--gap-inside", "0"}));
INSTANTIATE_TEST_SUITE_P(
    Ring, NonsenseAdvice,
    ::testing::Values(Line{"--ring-pieces", "2"}, Line{"--ring-pieces", "4.5"}, Line{"--ring-pieces", "many"},
                      Line{"--ring-pieces", "4", "--mitred-ends", "3"},
                      Line{"--ring-pieces", "4", "--lean", "left"},
                      Line{"--ring-pieces", "4", "--gap-outside", "1mm", "--gap-inside", "0"},
                      Line{"--record", "../sled"}, Line{"--pivot-distance", "-3in"},
                      Line{"--pivot-distance", "0"}));

INSTANTIATE_TEST_SUITE_P(Guide, WrongUsage,
                         ::testing::Values("guide --turns 3", "guide --pivot left", "guide --units cubits",
                                           "guide more"));

TEST(Usage, ReasonIsNamedWithARemedy) {
  const auto run = run_tapersight({"measure", sample_scan().png(), "--pivot-distance", "long"});
  EXPECT_THAT(run.err, HasSubstr("\"long\" is not a length"));
  EXPECT_THAT(run.err, HasSubstr("Write it like"));
}

struct Mistake {
  const char* line;
  const char *said, *remedy;
};

class Mistakes : public ::testing::TestWithParam<Mistake> {};

// In the words of every other refusal, with what was probably meant.
TEST_P(Mistakes, AreNamedAndPutRight) {
  const auto run = run_tapersight(words(GetParam().line));
  EXPECT_EQ(run.status, 2);
  EXPECT_EQ(run.out, "");
  EXPECT_EQ(run.err.rfind("tapersight: ", 0), 0U) << run.err;
  EXPECT_THAT(run.err, HasSubstr(GetParam().said));
  EXPECT_THAT(run.err, HasSubstr(GetParam().remedy));
}

INSTANTIATE_TEST_SUITE_P(
    Typed, Mistakes,
    ::testing::Values(
        Mistake{"", "No command was given.", "Write target, measure, look, correct"},
        Mistake{"polish", "\"polish\" is not a command.", "record, tags or batch;"},
        Mistake{"mesure a.jpg", "\"mesure\" is not a command.", "Write measure;"},
        Mistake{"record", "\"record\" does not say what to do.", "Write add, show, plot, undo or list;"},
        Mistake{"measure a.jpg --sled bench-99",
                "There is no file bench-99.sled.toml for the sled \"bench-99\" yet.",
                "tapersight setup bench-99"},
        Mistake{"record show", "\"record show\" needs SLED.", "For example: tapersight record show bench-07"},
        Mistake{"measure", "\"measure\" needs PICTURE.", "For example: tapersight measure"},
        Mistake{"measure a.jpg --pivto left", "\"--pivto\" is not an option of \"measure\".",
                "Write --pivot;"},
        Mistake{"measure a.jpg --shiny=1", "\"--shiny\" is not an option of \"measure\".",
                "'tapersight measure --help' tells more."},
        Mistake{"guide a --shiny b", "\"--shiny\" is not an option of \"guide\".",
                "'tapersight guide --help'"},
        Mistake{"guide strips again", "\"strips\" is one word too many.", "in quotes"},
        Mistake{"measure a.jpg --turns", "--turns needs a value after it.", "For example:"},
        Mistake{"measure a.jpg --turns 5", "Did you mean five cuts? They are 4 turns.",
                "Write 4 for the five-cut"},
        Mistake{"measure a.jpg --turns 3", "\"3\" is not a number of turns", "or 2 for one cut"},
        Mistake{"correct --fence-end .571 --far-end .506 --apart 7.5in --units mm",
                "is read as 0.0225 in (0.57 mm). No test strip is that small.", "--even-so"},
        Mistake{"correct --fence-end 14.5 --far-end 12.85 --apart 7.5", "you mean 0.5709 in (14.50 mm)?",
                "Write the unit with the number"},
        Mistake{"measure a.jpg --pivot-distance 45 --units mm", "Did you mean 45 in (1143.00 mm)?",
                "--even-so"},
        Mistake{"correct --fence-end .7 --far-end .5 --apart 2.5in", "1.1 degrees out of square",
                "--even-so"},
        Mistake{"correct --fence-end .6 --far-end .5 --apart 3in --pivot-distance 11ft",
                "The fence would have to move 1.100 in", "--even-so"},
        Mistake{"measure a.jpg --wider left", "\"left\" cannot be --wider.", "Write fence-end or far-end."},
        Mistake{"measure a.jpg --kind film", "\"film\" cannot be --kind.", "Write scan or photo."}));

// What no shop has is believed when the person insists.
TEST(Usage, EvenSoTakesItAsTyped) {
  const auto run = run_tapersight({"correct", "--fence-end", ".571", "--far-end", ".506", "--apart", "190.5",
                                   "--units", "mm", "--even-so"});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("fence end 0.571 mm"));
}

TEST(Usage, VersionIsTheProjects) {
  const auto run = run_tapersight({"--version"});
  EXPECT_EQ(run.status, 0);
  EXPECT_EQ(run.out, std::string("tapersight ") + TAPERSIGHT_VERSION + "\n");
}

TEST(Help, ListsTheCommands) {
  const auto run = run_tapersight({"--help"});
  EXPECT_EQ(run.status, 0);
  for (const char* command : {"target", "measure", "correct", "caliper", "guide", "record"})
    EXPECT_THAT(run.out, HasSubstr(command));
}

class HelpOf : public ::testing::TestWithParam<const char*> {};

// The line below "Example:" is run as it stands, in a folder with the scan that it names.
TEST_P(HelpOf, ShowsAWorkedLineThatWorks) {
  const auto help = run_tapersight({GetParam(), "--help"});
  ASSERT_EQ(help.status, 0);
  const std::size_t at = help.out.find("Example:\n  tapersight ");
  ASSERT_NE(at, std::string::npos) << help.out;
  const std::size_t start = help.out.find("tapersight ", at);
  std::vector<std::string> line = words(help.out.substr(start, help.out.find('\n', start) - start));
  line.erase(line.begin());
  ASSERT_EQ(line.front(), GetParam());
  const TempDir dir;
  // The scan is a PNG; what the file is, the program sees for itself.
  ASSERT_TRUE(write_file_whole(dir.file("bench-07.jpg"), sample_scan().bytes).ok());
  const auto run = run_tapersight(line, dir.path().string());
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_NE(run.out, "");
}

std::string command_name(const ::testing::TestParamInfo<const char*>& tested) {
  return tested.param;
}

INSTANTIATE_TEST_SUITE_P(Commands, HelpOf,
                         ::testing::Values("target", "measure", "correct", "caliper", "guide"), command_name);

// What README shows in its console blocks is what the program prints, to the letter.
TEST(Readme, ItsExamplesAreWhatTheProgramPrints) {
  const std::string readme = read_file(TAPERSIGHT_SOURCE "/README.md").value();
  const TempDir dir;
  std::filesystem::create_directory_symlink(TAPERSIGHT_SOURCE "/testimages", dir.file("testimages"));
  std::filesystem::create_directory(dir.file("build"));
  const std::string begin = "```console\n$ tapersight ", end = "```";
  int examples = 0;
  for (std::size_t at = readme.find(begin); at != std::string::npos; at = readme.find(begin, at)) {
    at += begin.size();
    const std::size_t line_end = readme.find('\n', at), block_end = readme.find(end, at);
    const std::string command = readme.substr(at, line_end - at);
    const auto run = run_tapersight(words(command), dir.path());
    EXPECT_EQ(run.out + run.err, readme.substr(line_end + 1, block_end - line_end - 1)) << command;
    ++examples;
  }
  EXPECT_GE(examples, 3);
}

}  // namespace
}  // namespace tapersight
