// The sentences in the source are those of messages.txt, where they can be read in a row; and each is fit to
// be read: no insider's word, no message without a remedy.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "base/files.h"
#include "messages/list_messages.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

TEST(Messages, AreThoseThatWereReadInARow) {
  const std::string now = testing::list_messages(TAPERSIGHT_SOURCE);
  const std::string read = read_file(TAPERSIGHT_SOURCE "/tests/messages/messages.txt").value();
  EXPECT_TRUE(now == read)
      << "a sentence changed: run make_messages > tests/messages/messages.txt, and read what "
         "git diff shows aloud";
}

TEST(Messages, AreFoundWithTheirCodes) {
  const std::string now = testing::list_messages(TAPERSIGHT_SOURCE);
  EXPECT_THAT(now, HasSubstr("not-turned: Was the strip really turned end for end?"));
  EXPECT_THAT(now, HasSubstr("no-roster: The roster is missing. | Give it with --roster roster.csv."));
  EXPECT_THAT(now, HasSubstr("- Check it again if the sled is dropped"));
}

// Words that the shop does not use for these things, in what this part of the program says.
TEST(Messages, UseTheTradesWords) {
  std::istringstream lines(testing::list_messages(TAPERSIGHT_SOURCE));
  for (std::string line; std::getline(lines, line);)
    for (const char* word :
         {"operator's", "speaks against", "Not plain", "far more than it is", "Cannot be told yet"})
      EXPECT_THAT(line, Not(HasSubstr(word)));
}

}  // namespace
}  // namespace tapersight
