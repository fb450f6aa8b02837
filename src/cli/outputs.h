// Where results go.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace tapersight {

// Writes to `path` whole, or to stdout when it is "-". Failure "file-not-writable".
std::optional<Failure> put_out(const std::string& path, const std::string& bytes);

// Whether `name` ends with `ending`, which begins with a point; capital letters are as good.
bool has_ending(const std::string& name, const std::string& ending);

// Refuses a drawing whose name does not end in .svg; an empty name is let be. Failure "bad-file-ending".
std::optional<Failure> check_svg(const std::string& name);

// Refuses a page whose name does not end in .html or .htm; an empty name is let be. Failure
// "bad-file-ending".
std::optional<Failure> check_html(const std::string& name);

// Refuses an output that would replace a file which this program did not write: what it writes names it near
// its beginning. Empty names, "-" and what is no plain file are let be. Failure "would-replace".
std::optional<Failure> check_replaced(const std::vector<std::string>& outputs);

// Refuses an output that would replace one of the inputs or another output, also under another name of the
// same file, and one that is no regular file. Empty names and "-" are let be. Failures "would-overwrite",
// "file-not-writable".
std::optional<Failure> check_outputs(const std::vector<std::string>& inputs,
                                     const std::vector<std::string>& outputs);

}  // namespace tapersight
