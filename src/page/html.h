// HTML and inline SVG put together from parts; text is escaped on its way in, so that none can be forgotten.
#pragma once
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tapersight {

// Markup that is complete and safe to put into a page. Made only by the functions below.
class Markup {
 public:
  Markup() = default;
  const std::string& html() const { return html_; }
  bool empty() const { return html_.empty(); }
  Markup& operator+=(const Markup& more) {
    html_ += more.html_;
    return *this;
  }

 private:
  friend Markup text(std::string_view words);
  friend Markup trusted(std::string html);
  std::string html_;
};

Markup operator+(Markup left, const Markup& right);

// Escaped, and typeset (report/words.h); "4.6 +/- 0.2" does not break.
Markup text(std::string_view words);
// For what this program holds itself: style, script, doctype. Never for what came from outside.
Markup trusted(std::string html);
// Text that came from outside, in whatever writing direction: set apart from what stands around it (<bdi>).
Markup foreign(std::string_view words);
// The same for attributes and titles, which know no elements: between U+2068 and U+2069.
std::string isolated(std::string_view words);

using Attributes = std::vector<std::pair<const char*, std::string>>;

// <tag attributes>content</tag>; an element without content that HTML knows as void, or one of SVG's shapes,
// has no end tag.
Markup element(const char* tag, const Attributes& attributes, const Markup& content = {});
Markup element(const char* tag, const Markup& content);
// The same around escaped words.
Markup words_in(const char* tag, std::string_view words, const Attributes& attributes = {});
// A <p> a sentence.
Markup paragraphs(const std::vector<std::string>& sentences);

// A whole page: no scripts but `script` (may be empty, trusted), nothing fetched from anywhere, which a
// Content-Security-Policy holds the browser to. `script_hash`: base64 of its SHA-256.
struct PageFrame {
  std::string title;  // plain text
  std::string script;
  std::string script_hash;
  const char* body_class = "";
};
std::string whole_page(const PageFrame& frame, const Markup& body);

}  // namespace tapersight
