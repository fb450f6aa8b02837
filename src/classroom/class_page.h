// The class sheet (page/class_sheet.h) of a batch's results.
#pragma once
#include <map>
#include <string>
#include <vector>

#include "classroom/class_summary.h"
#include "page/pictures.h"

namespace tapersight {

struct ClassPageOptions {
  std::string title;  // of the class, may be empty
  std::string program_version;
  Units units = Units::kInch;
  double cut_length_mm = 304.8;            // over which errors are stated
  std::map<std::string, Jpeg> thumbnails;  // by the results' names for them
};

// class.html: a row a strip in bench order, then the benches of the roster without one. Links lead to the
// overlays, from the results' folder.
std::string class_slips(const std::vector<ClassResult>& results, const ClassNotes& notes,
                        const ClassPageOptions& options);  // slips.html: a small page for each bench
std::string class_page(const std::vector<ClassResult>& results, const ClassNotes& notes,
                       const ClassPageOptions& options);

}  // namespace tapersight
