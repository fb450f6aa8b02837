#include "target/connected_parts.h"

#include <algorithm>
#include <numeric>
#include <utility>
#include <vector>

namespace tapersight {
namespace {

// A row's pixels from `from` up to, not including, `to`, which belong to one of the parts that are still
// open.
struct Run {
  int from, to, part;
};

// The rectangle about a connected part.
struct Box {
  int left, top, right, bottom;  // the last two lie within
  void take(const Box& other) {
    left = std::min(left, other.left), top = std::min(top, other.top);
    right = std::max(right, other.right), bottom = std::max(bottom, other.bottom);
  }
};

// Parts that grow from row to row: only what the last row touches is kept, whatever the picture's size
// (OpenCV's connectedComponents takes four bytes and more a pixel).
class OpenParts {
 public:
  int add(const Box& box) {
    boxes_.push_back(box);
    parent_.push_back(static_cast<int>(parent_.size()));
    return parent_.back();
  }
  int root(int part) {
    auto i = static_cast<std::size_t>(part);
    while (parent_[i] != static_cast<int>(i))
      i = static_cast<std::size_t>(parent_[i] = parent_[static_cast<std::size_t>(parent_[i])]);
    return static_cast<int>(i);
  }
  int join(int a, int b) {
    a = root(a), b = root(b);
    if (a == b) return a;
    boxes_[static_cast<std::size_t>(a)].take(boxes_[static_cast<std::size_t>(b)]);
    return parent_[static_cast<std::size_t>(b)] = a;
  }
  void grow(int part, const Box& box) { boxes_[static_cast<std::size_t>(root(part))].take(box); }

  // Calls closed(box) for each part that none of the runs belongs to, and numbers the others anew.
  template <typename Closed>
  void close_all_but(std::vector<Run>& runs, Closed&& closed) {
    std::vector<int> number(parent_.size(), -1);
    std::vector<Box> kept;
    for (Run& run : runs) {
      const auto part = static_cast<std::size_t>(root(run.part));
      if (number[part] < 0) {
        number[part] = static_cast<int>(kept.size());
        kept.push_back(boxes_[part]);
      }
      run.part = number[part];
    }
    for (std::size_t i = 0; i < parent_.size(); ++i)
      if (parent_[i] == static_cast<int>(i) && number[i] < 0) closed(boxes_[i]);
    boxes_ = std::move(kept);
    parent_.resize(boxes_.size());
    std::iota(parent_.begin(), parent_.end(), 0);
  }

 private:
  std::vector<Box> boxes_;
  std::vector<int> parent_;
};

}  // namespace

void each_part(const cv::Mat& picture, bool set, const std::function<void(const cv::Rect&)>& use) {
  const auto closed = [&](const Box& box) {
    use({box.left, box.top, box.right - box.left + 1, box.bottom - box.top + 1});
  };
  OpenParts open;
  std::vector<Run> above, here;
  for (int y = 0; y < picture.rows; ++y) {
    const uchar* const row = picture.ptr(y);
    here.clear();
    std::size_t a = 0;
    for (int x = 0; x < picture.cols;) {
      while (x < picture.cols && (row[x] != 0) != set) ++x;
      const int from = x;
      while (x < picture.cols && (row[x] != 0) == set) ++x;
      if (from == x) break;
      const Box box{from, y, x - 1, y};
      int part = -1;
      while (a < above.size() && above[a].to < from) ++a;
      for (std::size_t k = a; k < above.size() && above[k].from <= x; ++k)
        part = part < 0 ? open.root(above[k].part) : open.join(part, above[k].part);
      if (part < 0)
        part = open.add(box);
      else
        open.grow(part, box);
      here.push_back({from, x, part});
    }
    open.close_all_but(here, closed);
    std::swap(above, here);
  }
  above.clear();
  open.close_all_but(above, closed);
}

}  // namespace tapersight
