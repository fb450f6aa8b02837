// How --help looks: descriptions wrapped, one empty line between groups.
#pragma once
#include <CLI/CLI.hpp>
#include <string>

namespace tapersight {

class HelpFormat : public CLI::Formatter {
 public:
  std::string make_help(const CLI::App* app, std::string name, CLI::AppFormatMode mode) const override;
  std::string make_option_desc(const CLI::Option* option) const override;
};

}  // namespace tapersight
