// Whose strip a picture shows, by its name.
#pragma once
#include <optional>
#include <string>

namespace tapersight {

// What a file's name says: the number right behind the word bench ("bench-07-monday.jpg", "Bench 7.png"), or
// a name that is nothing but a number ("07.jpg"). Nothing else is taken for a bench, for scanners number
// their files; two benches in one name are none.
std::optional<int> bench_of_file_name(const std::string& name);

}  // namespace tapersight
