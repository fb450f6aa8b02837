// Expected outcomes as values: a stage returns what it made, or a Failure that says why not in shop words.
#pragma once
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace tapersight {

// A line in a picture that a failure speaks of, px; a label of one letter or none.
struct PictureMark {
  std::string label;
  double from_u = 0, from_v = 0, to_u = 0, to_v = 0;
};

// Why a stage could not do its work.
//   code    stable, lower-case-with-hyphens; tests and scripts rely on it
//   text    one sentence: what is the matter
//   remedy  one sentence: what the person can do about it
//   marks   where in the picture, if that helps
struct Failure {
  std::string code;
  std::string text;
  std::string remedy;
  std::vector<PictureMark> marks = {};
};

// Either a T or a Failure. Reading the wrong one is a bug in the caller and throws std::bad_variant_access.
template <typename T>
class Result {
 public:
  Result(T value) : held_(std::move(value)) {}            // NOLINT(google-explicit-constructor)
  Result(Failure failure) : held_(std::move(failure)) {}  // NOLINT(google-explicit-constructor)

  bool ok() const { return std::holds_alternative<T>(held_); }
  explicit operator bool() const { return ok(); }

  const T& value() const& { return std::get<T>(held_); }
  T& value() & { return std::get<T>(held_); }
  T&& value() && { return std::get<T>(std::move(held_)); }
  const T& operator*() const& { return value(); }
  T& operator*() & { return value(); }
  const T* operator->() const { return &value(); }
  T* operator->() { return &value(); }

  const Failure& failure() const { return std::get<Failure>(held_); }

 private:
  std::variant<T, Failure> held_;
};

}  // namespace tapersight
