// The log of a batch: whole lines count, torn ones do not.
#include "batch/batch_log.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "base/files.h"
#include "support/temp_dir.h"

namespace tapersight {
namespace {

LogEntry entry(const std::string& picture) {
  return {picture, {"c0", "s0", {{7, "d7"}, {12, "-"}}}, {"{\"a\":1}", "{\"b\":\"\\n\"}"}};
}

TEST(BatchLog, IsReadBackWhateverWasTorn) {
  const TempDir dir;
  const auto log = BatchLog::open(dir.file("log"));
  ASSERT_TRUE(log.ok());
  for (const char* picture : {"b", "a", "\"c\\\n"}) ASSERT_FALSE((*log)->append(entry(picture)));
  const std::string text = read_file(dir.file("log")).value();
  const auto all = read_batch_log(text);
  ASSERT_EQ(all.size(), 3U);
  EXPECT_EQ(to_line(all.at("a")), to_line(entry("a")));
  EXPECT_EQ(all.at("a").key.benches.at(12), "-");
  // Cut anywhere, exactly the lines that are whole are there.
  for (std::size_t cut = 0; cut < text.size(); ++cut) {
    const std::string torn = text.substr(0, cut);
    const auto whole = static_cast<std::size_t>(std::count(torn.begin(), torn.end(), '\n'));
    ASSERT_EQ(read_batch_log(torn).size(), whole) << cut;
  }
  EXPECT_EQ(read_batch_log("{\"picture\":1}\nnonsense\n" + text).size(), 3U);
}

TEST(BatchLog, ALaterEntryStandsAboveAnEarlierOne) {
  LogEntry later = entry("a");
  later.key.content = "c1";
  EXPECT_EQ(read_batch_log(to_line(entry("a")) + "\n" + to_line(later) + "\n").at("a").key.content, "c1");
}

}  // namespace
}  // namespace tapersight
