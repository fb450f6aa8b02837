// Tags to print, cut out and lay at the strips' fence ends.
#pragma once
#include <string>

#include "base/result.h"
#include "target/tag_layout.h"

namespace tapersight {

// How many fit on one page.
int tags_per_page(Paper paper);

// The file's bytes, exactly to scale, the same for the same arguments: the benches from `from` to `to`, each
// with its number; PDF of as many pages as it takes, or SVG, which holds one. Failures: "bad-bench-range"
// (not within 1..599, or not in order), "too-many-tags" (more than one page of SVG), "sheet-not-drawn".
Result<std::string> draw_tags(int from, int to, Paper paper, bool pdf);

}  // namespace tapersight
