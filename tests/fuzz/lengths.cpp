// Lengths and bare numbers as people type them.
#include <cmath>

#include "base/text.h"
#include "base/units.h"
#include "fuzz/fuzz_target.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

constexpr double kMostMm = 100e3;

void read_again(double mm) {
  const auto exact = parse_length(length_text(mm, Units::kMillimetre, 3, 9), Units::kInch);
  require(exact.ok() && std::fabs(*exact - mm) <= 1e-9, "a printed length is not read again");
  for (const Units units : {Units::kInch, Units::kMillimetre}) {
    const auto plain = parse_length(plain_length_text(mm, units), units);
    require(accepted(plain) || std::fabs(mm) > 0.999 * kMostMm, "a plain length is not read again");
  }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text = text_of(data, size);
  for (const Units units : {Units::kInch, Units::kMillimetre}) {
    const auto length = parse_length(text, units);
    if (accepted(length)) {
      require(std::fabs(*length) <= kMostMm, "a length out of range");  // not of NaN either
      read_again(*length);
    }
    const auto positive = parse_positive_length(text, units, "the pivot distance");
    if (accepted(positive)) require(*positive > 0, "a positive length is not positive");
    require(!positive || length.ok(), "a positive length that is none");
  }
  if (const auto number = parse_number(text)) {
    require(std::isfinite(*number), "a number is not finite");
    const auto again = parse_number(fixed(*number, 9));
    require(again && std::fabs(*again - *number) <= 1e-9 + 1e-15 * std::fabs(*number),
            "a number is not read again");
  }
  accepted(parse_units(text));
  require(printable(text).size() == text.size(), "a text changed its length");
  return 0;
}
