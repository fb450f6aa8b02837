// What all targets share. A target is one function of bytes: libFuzzer calls it with bytes of its own making,
// replay_test.cpp with the seeds and some hundred changes of each. It ends by returning; a fault of the code
// under test is a std::logic_error (require), a signal, or what a sanitizer says.
#pragma once
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <stdexcept>
#include <string>

#include "base/result.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace tapersight::testing {

inline void require(bool holds, const char* what) {
  if (!holds) throw std::logic_error(what);
}

inline void require_reason(const Failure& failure) {
  require(!failure.code.empty() && !failure.text.empty() && !failure.remedy.empty(),
          "a refusal without words");
}

// Whether there is a value; a refusal has its code, its sentence and its remedy.
template <typename T>
bool accepted(const Result<T>& result) {
  if (!result) require_reason(result.failure());
  return result.ok();
}

// Of targets that put a file together from their bytes: with FUZZ_KEEP=PATH in the environment it is written
// there, so that what was found can be looked at and given to the program.
inline void keep_if_asked(const std::string& file) {
  if (const char* const path = std::getenv("FUZZ_KEEP")) std::ofstream(path, std::ios::binary) << file;
}

inline std::string text_of(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

// Choices out of the bytes, front to back; zeros behind their end.
class Draw {
 public:
  Draw(const std::uint8_t* data, std::size_t size) : at_(data), end_(data + size) {}

  bool empty() const { return at_ == end_; }
  int byte() { return empty() ? 0 : *at_++; }
  int two_bytes() {
    const int low = byte();
    return low | byte() << 8;
  }
  int below(int count) { return two_bytes() % count; }
  double between(double low, double high) { return low + (high - low) * two_bytes() / 65535; }
  std::string rest() const { return text_of(at_, static_cast<std::size_t>(end_ - at_)); }

 private:
  const std::uint8_t* at_;
  const std::uint8_t* end_;
};

}  // namespace tapersight::testing
