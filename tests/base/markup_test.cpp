// Text stays text in a page, whatever it holds; addresses lead beside the page only.
#include "base/markup.h"

#include <gtest/gtest.h>

namespace tapersight {
namespace {

TEST(HtmlEscape, LeavesNothingThatHtmlWouldRead) {
  EXPECT_EQ(html_escape("<script>alert('1')</script>"), "&lt;script&gt;alert(&#39;1&#39;)&lt;/script&gt;");
  EXPECT_EQ(html_escape("\" onload=\"x"), "&quot; onload=&quot;x");
  EXPECT_EQ(html_escape("&amp;"), "&amp;amp;");
  EXPECT_EQ(html_escape(""), "");
}

TEST(HtmlEscape, KeepsOtherWritingAndEmoji) {
  const std::string text = "\u05e9\u05dc\u05d5\u05dd \u4f60\u597d \U0001f6e0 \u00e9\t\n";
  EXPECT_EQ(html_escape(text), text);
}

TEST(HtmlEscape, ReplacesWhatIsNotUtf8) {
  const std::string bad = "\xef\xbf\xbd";
  EXPECT_EQ(html_escape("a\xff z"), "a" + bad + " z");
  EXPECT_EQ(html_escape("\xc3"), bad);                                // cut off
  EXPECT_EQ(html_escape("\xc0\xbc"), bad + bad);                      // "<" in two bytes
  EXPECT_EQ(html_escape("\xed\xa0\x80"), bad + bad + bad);            // a surrogate
  EXPECT_EQ(html_escape("\xf4\x90\x80\x80"), bad + bad + bad + bad);  // beyond U+10FFFF
  EXPECT_EQ(html_escape(std::string("a\0b", 3)), "a" + bad + "b");
  EXPECT_EQ(html_escape("\x1b[0m\x7f\xc2\x85"), bad + "[0m" + bad + bad);
}

TEST(RelativeHref, CanCarryNeitherSchemeNorHost) {
  EXPECT_EQ(relative_href("bench-07.html"), "./bench-07.html");
  EXPECT_EQ(relative_href("javascript:alert(1)"), "./javascript%3Aalert%281%29");
  EXPECT_EQ(relative_href("//elsewhere/x"), ".///elsewhere/x");
  EXPECT_EQ(relative_href("a b/7#1?&\".html"), "./a%20b/7%231%3F%26%22.html");
  EXPECT_EQ(relative_href("\u00e9"), "./%C3%A9");
}

// RFC 4648, section 10.
TEST(Base64, PassesTheTestVectorsOfTheStandard) {
  EXPECT_EQ(base64(""), "");
  EXPECT_EQ(base64("f"), "Zg==");
  EXPECT_EQ(base64("fo"), "Zm8=");
  EXPECT_EQ(base64("foo"), "Zm9v");
  EXPECT_EQ(base64("foob"), "Zm9vYg==");
  EXPECT_EQ(base64("fooba"), "Zm9vYmE=");
  EXPECT_EQ(base64("foobar"), "Zm9vYmFy");
  EXPECT_EQ(base64("\xff\xfe\xfd"), "//79");
}

}  // namespace
}  // namespace tapersight
