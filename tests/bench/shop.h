// A shop that squares sleds with this tool: fences with hidden errors, distances typed wrong, moves made a
// thousandth off, strips cut as polygons, scanned and measured by the real pipeline. The shop does what the
// tool says and knows nothing else.
#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "fence/tolerance.h"

namespace tapersight::shop {

struct ShopOptions {
  Tolerance tolerance{0.002 / 12, "2thou/12in"};
  int most_moves = 2;
  double largest_error = 0.004;  // rad, of the hidden fence errors: 48 thou over 12 in
  double distance_off = 0.15;    // the typed pivot distance is wrong by up to this part
  double move_u_mm = 0.0254;     // standard deviation of making a move: 1 thou
  int strips_tried = 3;          // a strip whose picture is refused is cut anew, so often at most
};

// What became of one sled.
struct SledStory {
  std::uint64_t bench = 0;                   // its number, the seed of everything about it
  double error_before = 0;                   // rad, true
  double error_after = 0;                    // rad, true, at the end
  int moves = 0;                             //
  int pictures = 0, refused = 0;             // taken; not measurable
  std::vector<std::string> refusals;         // codes
  Verdict verdict = Verdict::kCannotBeTold;  // the last one
  int false_squares = 0;                     // "square" said of a fence that was not
  int false_not_squares = 0;                 // "not square" said of a fence that was
  std::vector<double> miss;                  // (measured - true) / U of every measurement
};

SledStory square_one_sled(std::uint64_t bench, const ShopOptions& options = {});

struct ShopTable {
  int sleds = 0, squared = 0;  // squared: truly within the tolerance at the end
  int said_square = 0, left_open = 0, said_not_square = 0;
  int false_squares = 0, false_not_squares = 0;
  int pictures = 0, refused = 0;
  int by_moves[4] = {};      // sleds that took so many moves
  int outside_interval = 0;  // measurements whose 95 % interval missed the truth
  int measurements = 0;
  double largest_left = 0;  // rad
};

ShopTable summary(const std::vector<SledStory>& stories, const ShopOptions& options = {});
std::string story_line(const SledStory& story);
std::string table_text(const ShopTable& table);

}  // namespace tapersight::shop
