#include "web/page_words.h"

#include "base/markup.h"

namespace tapersight {

const std::vector<std::pair<std::string, std::string>>& page_words() {
  static const std::vector<std::pair<std::string, std::string>> kWords{
      {"Give --pivot and --pivot-distance to get the move.",
       "Give the sled's pivot distance to get the move."},
      {"Give --tolerance to get a decision.", "Give the sled's tolerance to get a decision."},
      {"give --pivot-distance ", "put this into the sled's pivot distance: "},
      {"Measure it again and give it with --pivot-distance.", "Measure it again and put it into the sled."},
      {"Give --pivot-distance as well: from", "Give the pivot distance as well: from"},
      {"Give --thread as well, like --thread 1/4-20 or --thread M6.",
       "Give the thread as well, like 1/4-20 or M6."},
      {"say which end is wider: --wider fence-end or --wider far-end.",
       "say which end is wider, under More about the picture."},
      {"Print a sheet with 'tapersight target', lay", "Print a sheet from this page, lay"},
      {"a scan without a sheet is measured with --without-target",
       "this page measures pictures with the sheet only"},
      {"('tapersight target --dark-channel')", "(this page has it)"},
      {"Give --thickness if you want the widths.", "Give the thickness if you want the widths."},
      {"Measure its bars with a rule and give them with --bar-x and --bar-y.",
       "Measure its bars with a rule and give both, under More about the picture."},
      {" (--bar-x, --bar-y)", ""},
      {"Measure without --take: the answer", "Leave the line's letter out: the answer"},
      {"; --report PAGE.html shows them", "; the picture shows them"},
      {" A second scan with the strip turned end for end (--reversed) takes it out.",
       " A second scan with the strip turned end for end takes it out."},
      {"take the picture for --reversed again", "take the turned picture again"},
      {"put those with the strip turned end for end after --reversed",
       "mark those with the strip turned end for end"},
      {"or raise --max-seconds", "or use a computer"},
      {"Save it smaller, as a grey JPEG for example, or raise --max-file-mb.",
       "Save it smaller, as a grey JPEG for example."},
      {"Scan at 600 dpi or less, or raise --max-megapixels.", "Scan at 600 dpi or less."},
      {"Scan at 600 dpi or less, or raise --max-memory-mb.", "Scan at 600 dpi or less."},
      {"or measure fewer pictures at a time (--jobs 1)", "or use a computer"},
      {" If it is right, add --even-so.", ""},
      {" If it is right as it stands, add --even-so.", ""},
      {" (a usual figure; --tolerance sets your own)", " (a usual figure; the sled can have its own)"},
      {"when you keep a record (--record or --sled)", "when you keep the sled's record"},
      {"Measure without --report.", "Open the page anew, and measure again."},
      {"type the move: --move, --toward, --pivot-distance.", "write down how far and which way."}};
  return kWords;
}

namespace {

void replace_all(std::string& text, const std::string& what, const std::string& with) {
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size()))
    text.replace(at, what.size(), with);
}

}  // namespace

std::string for_the_page(std::string text) {
  for (const auto& [typed, shown] : page_words()) replace_all(text, typed, shown);
  return text;
}

std::string for_the_page_in_markup(std::string html) {
  for (const auto& [typed, shown] : page_words()) replace_all(html, html_escape(typed), html_escape(shown));
  return html;
}

}  // namespace tapersight
