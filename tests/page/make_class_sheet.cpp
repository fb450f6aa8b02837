// Writes the made-up class's sheet for tests/page_browser: make_class_sheet FILE.html
#include <cstdio>

#include "base/files.h"
#include "page/sample_class.h"

int main(int count, char** arguments) {
  if (count != 2) {
    std::fputs("usage: make_class_sheet FILE.html\n", stderr);
    return 2;
  }
  const std::string html = tapersight::class_sheet_html(tapersight::testing::sample_class());
  return tapersight::write_file_whole(arguments[1], html).ok() ? 0 : 4;
}
