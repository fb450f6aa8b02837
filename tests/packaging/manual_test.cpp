// Man pages and completions tell the very options that the program's --help tells: all of them, no others,
// each under its own command. What --help prints is taken for the truth; bash is asked itself.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>
#include <set>
#include <sstream>

#include "support/run_program.h"

namespace tapersight {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using testing::run_program;
using testing::shell_quoted;
using ::testing::UnorderedElementsAre;
using Names = std::set<std::string>;

std::string built(const std::string& file) {
  const auto bytes = read_file(std::string(PACKAGING_BUILD "/") + file);
  return bytes ? *bytes : "(no file " + file + ")";
}

std::vector<std::string> words_of(const std::string& path) {
  std::istringstream stream(path);
  std::vector<std::string> words;
  for (std::string word; stream >> word;) words.push_back(word);
  return words;
}

struct Command {
  std::string path;  // "record add"; empty: the program
  Names options;     // with their dashes
  std::vector<std::string> parts;
};

Command command_from_help(const std::string& path) {
  std::vector<std::string> words = words_of(path);
  words.emplace_back("--help");
  std::istringstream help(run_program(TAPERSIGHT_PROGRAM, words).out);
  Command command{path, {}, {}};
  bool commands = false;
  for (std::string line; std::getline(help, line);) {
    if (line.empty()) commands = false;
    if (line == "Subcommands:") commands = true;
    if (line.size() < 3 || line.compare(0, 2, "  ") != 0 || line[2] == ' ') continue;
    std::istringstream first(line.substr(2, line.find(' ', 2) - 2));
    for (std::string name; std::getline(first, name, ',');) {
      if (commands) command.parts.push_back(name);
      if (name[0] == '-') command.options.insert(name);
    }
  }
  return command;
}

std::vector<Command> commands_from_help(const std::string& path = {}) {
  std::vector<Command> all{command_from_help(path)};
  for (const std::string& part : std::vector<std::string>(all.front().parts))
    for (Command& below : commands_from_help(path.empty() ? part : path + " " + part))
      all.push_back(std::move(below));
  return all;
}

// Every match's first group.
Names found(const std::string& text, const std::string& pattern) {
  const std::regex regex(pattern);
  Names names;
  for (std::sregex_iterator at(text.begin(), text.end(), regex), end; at != end; ++at)
    names.insert((*at)[1].str());
  return names;
}

std::string between(const std::string& text, const std::string& from, const std::string& to) {
  const std::size_t start = text.find(from);
  if (start == std::string::npos) return "";
  const std::size_t begin = start + from.size();
  return text.substr(begin, text.find(to, begin) - begin);
}

// Bold names at the head of an entry; the page writes "-" as "\-".
Names options_of_man_page(const std::string& path) {
  const auto words = words_of(path);
  const std::string name = words.empty() ? "tapersight" : "tapersight-" + words.front();
  const auto unpacked = run_program("gzip", {"-dc", PACKAGING_BUILD "/manual/man/" + name + ".1.gz"});
  std::string heading = "OPTIONS\n";
  if (words.size() == 2) {
    heading = "\"TAPERSIGHT " + words[0] + " " + words[1] + "\"\n";
    for (char& c : heading) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  }
  std::istringstream lines(between(unpacked.out, "\n.SH " + heading, "\n.SH "));
  Names names;
  bool entry = false;
  for (std::string line; std::getline(lines, line);) {
    if (entry) {
      line = std::regex_replace(line, std::regex(R"(\\-)"), "-");
      for (const std::string& option : found(line, R"(\\fB(-[-a-z]*)\\fR)")) names.insert(option);
    }
    entry = line == ".TP";
  }
  return names;
}

// What bash offers for the last of `words`.
std::vector<std::string> offered_by_bash(const std::vector<std::string>& words,
                                         const std::string& folder = {}) {
  std::string script =
      "source " + shell_quoted(PACKAGING_BUILD "/manual/tapersight.bash") + "; COMP_WORDS=(tapersight";
  for (const std::string& word : words) script += " " + shell_quoted(word);
  script += "); COMP_CWORD=" + std::to_string(words.size()) +
            "; _tapersight; [ ${#COMPREPLY[@]} -eq 0 ] || printf '%s\\n' \"${COMPREPLY[@]}\"";
  const auto run = run_program("bash", {"--norc", "-c", script}, folder);
  EXPECT_EQ(run.status, 0);
  EXPECT_EQ(run.err, "");
  std::istringstream lines(run.out);
  std::vector<std::string> offered;
  for (std::string line; std::getline(lines, line);) offered.push_back(line);
  return offered;
}

Names options_of_bash(const std::string& path) {
  auto words = words_of(path);
  words.emplace_back("-");
  const auto offered = offered_by_bash(words);
  return {offered.begin(), offered.end()};
}

Names options_of_zsh(const std::string& path) {
  std::string name = "_tapersight";
  for (const std::string& word : words_of(path)) name += "_" + word;
  return found(between(built("manual/_tapersight"), "\n" + name + "() {\n", "\n}\n"), R"('(-[-a-z]*)\[)");
}

Names options_of_fish(const std::string& path) {
  std::string condition;
  for (const std::string& word : words_of(path))
    condition += (condition.empty() ? "" : "; and ") + ("__fish_seen_subcommand_from " + word);
  std::istringstream lines(built("manual/tapersight.fish"));
  Names names;
  for (std::string line; std::getline(lines, line);) {
    const std::string seen = std::regex_replace(between(line, "-n '", "' "),
                                                std::regex("(; and )?not __fish_seen_subcommand_from.*"), "");
    if (line.find("-n '") == std::string::npos || seen != condition) continue;
    const std::string rest = line.substr(line.find("' ") + 1, line.find(" -d '") - line.find("' ") - 1);
    for (const std::string& name : found(rest, " -l ([-a-z]+)")) names.insert("--" + name);
    for (const std::string& name : found(rest, " -s ([a-z])")) names.insert("-" + name);
  }
  return names;
}

TEST(Manual, EveryOptionOfEveryCommandIsInThePageAndTheCompletions) {
  const auto commands = commands_from_help();
  ASSERT_GE(commands.size(), 12U);  // nine commands, and the parts of `record`
  for (const Command& command : commands) {
    SCOPED_TRACE("tapersight " + command.path);
    ASSERT_THAT(command.options, Not(IsEmpty()));
    EXPECT_EQ(options_of_man_page(command.path), command.options);
    EXPECT_EQ(options_of_bash(command.path), command.options);
    EXPECT_EQ(options_of_zsh(command.path), command.options);
    EXPECT_EQ(options_of_fish(command.path), command.options);
  }
}

TEST(Manual, EveryCommandIsOffered) {
  for (const Command& command : commands_from_help()) {
    SCOPED_TRACE("tapersight " + command.path);
    auto words = words_of(command.path);
    words.emplace_back("");
    const auto offered = offered_by_bash(words);
    for (const std::string& part : command.parts) {
      EXPECT_THAT(offered, ::testing::Contains(part));
      EXPECT_THAT(built("manual/_tapersight"), HasSubstr("\n        " + part + ") _tapersight"));
      EXPECT_THAT(built("manual/tapersight.fish"), HasSubstr("' -a " + part + " -d '"));
    }
  }
}

TEST(BashCompletion, OffersTheWordsThatAnOptionTakes) {
  EXPECT_THAT(offered_by_bash({"measure", "--kind", ""}), ElementsAre("scan", "photo"));
  EXPECT_THAT(offered_by_bash({"measure", "--wider", "fa"}), ElementsAre("far-end"));
  EXPECT_THAT(offered_by_bash({"record", "add", "x", "--toward", "o"}), ElementsAre("operator"));
  EXPECT_THAT(offered_by_bash({"measure", "--thickness", ""}), IsEmpty());  // only the person knows it
}

TEST(BashCompletion, OffersFilesAndFoldersWhereTheyAreMeant) {
  const TempDir dir;
  ASSERT_TRUE(write_file_whole(dir.file("bench 7.jpg"), "x").ok());
  std::filesystem::create_directory(dir.file("results"));
  EXPECT_THAT(offered_by_bash({"measure", "be"}, dir.path().string()), ElementsAre("bench 7.jpg"));
  EXPECT_THAT(offered_by_bash({"measure", "--json", ""}, dir.path().string()),
              UnorderedElementsAre("bench 7.jpg", "results"));
  EXPECT_THAT(offered_by_bash({"batch", "--out", ""}, dir.path().string()), ElementsAre("results"));
}

TEST(CopyrightFile, HoldsTheLicenceOfTheSources) {
  const auto licence = read_file(TAPERSIGHT_SOURCE "/LICENSE");
  ASSERT_TRUE(licence.ok());
  std::string text = built("copyright");
  text = std::regex_replace(text, std::regex("\n \\.\n"), "\n\n");
  text = std::regex_replace(text, std::regex("\n "), "\n");
  EXPECT_THAT(text, HasSubstr(licence->substr(licence->find("Permission is hereby"))));
  EXPECT_THAT(text, HasSubstr("Copyright: " + between(*licence, "Copyright (c) ", "\n") + "\n"));
}

}  // namespace
}  // namespace tapersight
