#include "page/html.h"

#include <algorithm>
#include <array>

#include "base/markup.h"
#include "page/style.h"
#include "report/words.h"

namespace tapersight {
namespace {

void replace_all(std::string& text, std::string_view what, std::string_view with) {
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size()))
    text.replace(at, what.size(), with);
}

bool is_any_of(std::string_view tag, const std::vector<std::string_view>& tags) {
  return std::find(tags.begin(), tags.end(), tag) != tags.end();
}

bool is_void(std::string_view tag) {
  return is_any_of(tag, {"meta", "img", "br"});
}

bool is_shape(std::string_view tag) {
  return is_any_of(tag, {"line", "path", "rect", "circle", "polyline", "polygon"});
}

}  // namespace

Markup operator+(Markup left, const Markup& right) {
  left += right;
  return left;
}

Markup text(std::string_view words) {
  std::string set = typeset(std::string(words));
  replace_all(set, " \u00b1 ", "\u00a0\u00b1\u00a0");
  replace_all(set, " %", "\u00a0%");
  return trusted(html_escape(set));
}

Markup trusted(std::string html) {
  Markup markup;
  markup.html_ = std::move(html);
  return markup;
}

Markup foreign(std::string_view words) {
  return trusted("<bdi>" + html_escape(words) + "</bdi>");
}

std::string isolated(std::string_view words) {
  return "\u2068" + std::string(words) + "\u2069";
}

Markup element(const char* tag, const Attributes& attributes, const Markup& content) {
  std::string html = "<" + std::string(tag);
  for (const auto& [name, value] : attributes)
    html += " " + std::string(name) + "=\"" + html_escape(value) + "\"";
  if (is_void(tag)) return trusted(html + ">");
  if (is_shape(tag) && content.empty()) return trusted(html + "/>");
  return trusted(html + ">" + content.html() + "</" + tag + ">");
}

Markup element(const char* tag, const Markup& content) {
  return element(tag, {}, content);
}

Markup words_in(const char* tag, std::string_view words, const Attributes& attributes) {
  return element(tag, attributes, text(words));
}

Markup paragraphs(const std::vector<std::string>& sentences) {
  Markup all;
  for (const std::string& sentence : sentences) all += words_in("p", sentence);
  return all;
}

std::string whole_page(const PageFrame& frame, const Markup& body) {
  const std::string scripts = frame.script.empty() ? "'none'" : "'sha256-" + frame.script_hash + "'";
  Markup head = element("meta", {{"charset", "utf-8"}});
  head += element("meta",
                  {{"http-equiv", "Content-Security-Policy"},
                   {"content", "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src " +
                                   scripts + "; base-uri 'none'; form-action 'none'"}});
  head += element("meta", {{"name", "generator"}, {"content", "tapersight"}});
  head += element("meta", {{"name", "viewport"}, {"content", "width=device-width, initial-scale=1"}});
  head += element("meta", {{"name", "color-scheme"}, {"content", "light dark"}});
  head += element("title", trusted(html_escape(frame.title)));
  head += element("style", trusted(std::string(page_style())));
  Markup whole = body;
  if (!frame.script.empty()) whole += element("script", trusted(frame.script));
  const Attributes body_attributes =
      *frame.body_class == '\0' ? Attributes() : Attributes{{"class", frame.body_class}};
  return "<!DOCTYPE html>\n" +
         element("html", {{"lang", "en"}},
                 element("head", head) + trusted("\n") + element("body", body_attributes, whole))
             .html() +
         "\n";
}

}  // namespace tapersight
