#include "cli/help_format.h"

#include "report/lines.h"

namespace tapersight {
namespace {

void replace_all(std::string& text, const std::string& what, const std::string& by) {
  for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos;)
    text.replace(at, what.size(), by);
}

}  // namespace

std::string HelpFormat::make_help(const CLI::App* app, std::string name, CLI::AppFormatMode mode) const {
  std::string text = Formatter::make_help(app, std::move(name), mode);
  replace_all(text, "\n\n\n", "\n\n");
  return text;
}

std::string HelpFormat::make_option_desc(const CLI::Option* option) const {
  // CLI11 indents what comes after a line's end.
  const std::string indent(get_column_width(), ' ');
  std::string text;
  put(text, indent, option->get_description());
  replace_all(text, "\n" + indent, "\n");
  return text.substr(indent.size(), text.size() - indent.size() - 1);
}

}  // namespace tapersight
