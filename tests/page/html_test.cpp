// What is put into a page stays what it is.
#include "page/html.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tapersight {
namespace {

using ::testing::EndsWith;
using ::testing::HasSubstr;
using ::testing::Not;
using ::testing::StartsWith;

TEST(Html, EscapesContentAndAttributes) {
  EXPECT_EQ(element("p", {{"title", "a \"b\" <c>"}}, text("1 < 2 & 3")).html(),
            "<p title=\"a &quot;b&quot; &lt;c&gt;\">1 &lt; 2 &amp; 3</p>");
  EXPECT_EQ(element("img", {{"alt", ""}}).html(), "<img alt=\"\">");
  EXPECT_EQ(element("line", {{"x1", "1"}}).html(), "<line x1=\"1\"/>");
  EXPECT_EQ(element("td", Markup()).html(), "<td></td>");
}

TEST(Html, SetsSignsAndKeepsAnIntervalTogether) {
  EXPECT_EQ(text("4.6 +/- 0.2 mm (95 %)").html(), "4.6\u00a0\u00b1\u00a00.2 mm (95\u00a0%)");
}

TEST(Html, SetsForeignTextApart) {
  EXPECT_EQ(foreign("<i>\u05d0").html(), "<bdi>&lt;i&gt;\u05d0</bdi>");
  EXPECT_EQ(isolated("\u05d0"), "\u2068\u05d0\u2069");
}

TEST(Html, APageFetchesNothingAndRunsOnlyItsOwnScript) {
  PageFrame frame;
  frame.title = "</title><script>";
  const std::string silent = whole_page(frame, text("x"));
  EXPECT_THAT(silent, StartsWith("<!DOCTYPE html>\n<html lang=\"en\">"));
  EXPECT_THAT(silent, EndsWith("</html>\n"));
  EXPECT_THAT(silent, HasSubstr("<title>&lt;/title&gt;&lt;script&gt;</title>"));
  EXPECT_THAT(silent, HasSubstr("default-src &#39;none&#39;"));
  EXPECT_THAT(silent, HasSubstr("script-src &#39;none&#39;"));
  EXPECT_THAT(silent, Not(HasSubstr("<script")));
  frame.script = "1;";
  frame.script_hash = "abc=";
  const std::string sorted = whole_page(frame, text("x"));
  EXPECT_THAT(sorted, HasSubstr("script-src &#39;sha256-abc=&#39;"));
  EXPECT_THAT(sorted, HasSubstr("<script>1;</script>"));
}

}  // namespace
}  // namespace tapersight
