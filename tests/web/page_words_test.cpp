// The page's words for what is typed on a command line.
#include "web/page_words.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "base/files.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

TEST(PageWords, EachStandsForWhatTheProgramReallySays) {
  const auto messages = read_file(TAPERSIGHT_SOURCE "/tests/messages/messages.txt");
  ASSERT_TRUE(messages.ok());
  const std::string others = messages->substr(0, messages->find("== src/web/"));  // the last of its folders
  for (const auto& [typed, shown] : page_words()) EXPECT_THAT(others, HasSubstr(typed));
}

TEST(PageWords, NoneNamesAnOptionItself) {
  for (const auto& [typed, shown] : page_words()) EXPECT_THAT(shown, Not(HasSubstr("--")));
}

TEST(PageWords, AreSetInWhereverTheyStand) {
  EXPECT_EQ(
      for_the_page("Give --tolerance to get a decision. And again: Give --tolerance to get a decision."),
      "Give the sled's tolerance to get a decision. And again: Give the sled's tolerance to get a decision.");
  EXPECT_EQ(for_the_page("Scan again."), "Scan again.");
}

}  // namespace
}  // namespace tapersight
