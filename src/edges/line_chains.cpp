#include "edges/line_chains.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace tapersight {
namespace {

constexpr int kLookBack = 4;           // segments from which a line's way on is told
constexpr double kMostFainter = 3;     // a line's slope from one segment to the next, by this factor at most
constexpr double kMostMissing = 0.25;  // of the segments, in one run, may not show the line

struct Node {
  LinePlace place;
  bool taken = false;
};

using Nodes = std::vector<std::vector<Node>>;  // by segment

// The steepest places, to a part of a pixel.
std::vector<Node> steepest(const std::vector<double>& slope, int outward_px, double least) {
  std::vector<Node> nodes;
  for (std::size_t i = 1; i + 1 < slope.size(); ++i) {
    const double sign = slope[i] > 0 ? 1 : -1;
    const double here = sign * slope[i], before = sign * slope[i - 1], after = sign * slope[i + 1];
    if (here < least || here < before || here <= after) continue;
    const double curve = before - 2 * here + after;
    const double part = curve < 0 ? std::clamp((before - after) / (2 * curve), -0.5, 0.5) : 0;
    nodes.push_back({{static_cast<double>(i) + part - outward_px, slope[i]}});
  }
  return nodes;
}

// Where the places behind `from` say that the line goes on, `ahead` segments on.
double expected(const LineChain& chain, std::size_t from, int way, int ahead) {
  double st = 0, so = 0, stt = 0, sto = 0, n = 0;
  for (int k = 0; k <= kLookBack; ++k) {
    const auto s = static_cast<std::ptrdiff_t>(from) - way * k;
    if (s < 0 || s >= static_cast<std::ptrdiff_t>(chain.at.size())) break;
    const LinePlace& p = chain.at[static_cast<std::size_t>(s)];
    if (p.slope == 0) continue;
    const double t = -k;
    n += 1;
    st += t;
    so += p.offset_px;
    stt += t * t;
    sto += t * p.offset_px;
  }
  const double determinant = n * stt - st * st;
  const double lean = n >= 3 && determinant > 0 ? (n * sto - st * so) / determinant : 0;
  return (so - lean * st) / n + lean * ahead;
}

class Follower {
 public:
  Follower(Nodes& nodes, double most_step_px) : nodes_(nodes), most_step_px_(most_step_px) {}

  // The line through the strongest place that no line has yet.
  std::optional<LineChain> next() {
    std::size_t segment = 0;
    Node* start = nullptr;
    for (std::size_t s = 0; s < nodes_.size(); ++s)
      for (Node& n : nodes_[s])
        if (!n.taken && (start == nullptr || std::abs(n.place.slope) > std::abs(start->place.slope))) {
          start = &n;
          segment = s;
        }
    if (start == nullptr) return std::nullopt;
    start->taken = true;
    LineChain chain;
    chain.at.resize(nodes_.size());
    chain.at[segment] = start->place;
    follow(chain, segment, 1);
    follow(chain, segment, -1);
    return chain;
  }

 private:
  void follow(LineChain& chain, std::size_t from, int way) {
    const auto last = static_cast<std::ptrdiff_t>(nodes_.size());
    const int most_missing = std::max(1, static_cast<int>(kMostMissing * static_cast<double>(nodes_.size())));
    std::size_t seen = from;
    for (int ahead = 1; ahead <= most_missing; ++ahead) {
      const auto s = static_cast<std::ptrdiff_t>(seen) + way * ahead;
      if (s < 0 || s >= last) return;
      const double place = expected(chain, seen, way, ahead);
      const double usual = chain.at[seen].slope;
      Node* best = nullptr;
      double least = most_step_px_ * (ahead > 1 ? 1.5 : 1);
      for (Node& n : nodes_[static_cast<std::size_t>(s)]) {
        const double ratio = n.place.slope / usual;
        if (n.taken || ratio < 1 / kMostFainter || ratio > kMostFainter) continue;
        const double off = std::min(std::abs(n.place.offset_px - place),
                                    std::abs(n.place.offset_px - chain.at[seen].offset_px));
        if (off < least) {
          least = off;
          best = &n;
        }
      }
      if (best == nullptr) continue;
      best->taken = true;
      seen = static_cast<std::size_t>(s);
      chain.at[seen] = best->place;
      ahead = 0;
    }
  }

  Nodes& nodes_;
  double most_step_px_;
};

// Between the segments that show it a line is taken to be straight, and beyond them to go on as it was going.
void fill(LineChain& chain) {
  const auto n = static_cast<std::ptrdiff_t>(chain.at.size());
  for (std::ptrdiff_t s = 0; s < n; ++s) {
    if (chain.shows(static_cast<std::size_t>(s))) continue;
    std::ptrdiff_t before = s, after = s;
    while (before >= 0 && !chain.shows(static_cast<std::size_t>(before))) --before;
    while (after < n && !chain.shows(static_cast<std::size_t>(after))) ++after;
    double& offset = chain.at[static_cast<std::size_t>(s)].offset_px;
    if (before < 0)
      offset = expected(chain, static_cast<std::size_t>(after), -1, static_cast<int>(after - s));
    else if (after >= n)
      offset = expected(chain, static_cast<std::size_t>(before), 1, static_cast<int>(s - before));
    else {
      const double f = static_cast<double>(s - before) / static_cast<double>(after - before);
      offset = (1 - f) * chain.at[static_cast<std::size_t>(before)].offset_px +
               f * chain.at[static_cast<std::size_t>(after)].offset_px;
    }
  }
}

bool overlap(const LineChain& a, const LineChain& b) {
  for (std::size_t s = 0; s < a.at.size(); ++s)
    if (a.shows(s) && b.shows(s)) return true;
  return false;
}

struct StraightLine {
  double middle = 0, at_middle = 0, lean = 0;
  double at(double segment) const { return at_middle + lean * (segment - middle); }
};

StraightLine straight_through(const LineChain& chain) {
  double n = 0, ss = 0, so = 0, sss = 0, sso = 0;
  for (std::size_t s = 0; s < chain.at.size(); ++s) {
    if (!chain.shows(s)) continue;
    const auto t = static_cast<double>(s);
    n += 1;
    ss += t;
    so += chain.at[s].offset_px;
    sss += t * t;
    sso += t * chain.at[s].offset_px;
  }
  const double determinant = n * sss - ss * ss;
  return {ss / n, so / n, determinant > 0 ? (n * sso - ss * so) / determinant : 0};
}

// Does the short one lie where the long one goes on?
bool goes_on_in(const LineChain& lengthy, const LineChain& brief, double most_step_px) {
  const StraightLine line = straight_through(lengthy);
  double off = 0, slope = 0, n = 0, usual = 0, m = 0;
  for (std::size_t s = 0; s < brief.at.size(); ++s) {
    if (brief.shows(s)) {
      off += std::abs(brief.at[s].offset_px - line.at(static_cast<double>(s)));
      slope += brief.at[s].slope;
      n += 1;
    }
    usual += lengthy.at[s].slope;
    m += lengthy.shows(s) ? 1 : 0;
  }
  const double ratio = slope / n / (usual / m);
  return off / n < most_step_px && ratio > 1 / kMostFainter && ratio < kMostFainter;
}

// A line that is lost for a while, behind a dark streak or a chip, goes on beyond it.
void join(std::vector<LineChain>& chains, double most_step_px) {
  std::sort(chains.begin(), chains.end(),
            [](const LineChain& a, const LineChain& b) { return a.consistent() > b.consistent(); });
  for (std::size_t i = 0; i < chains.size(); ++i)
    for (std::size_t k = i + 1; k < chains.size();) {
      if (overlap(chains[i], chains[k]) || !goes_on_in(chains[i], chains[k], most_step_px)) {
        ++k;
        continue;
      }
      for (std::size_t s = 0; s < chains[i].at.size(); ++s)
        if (chains[k].shows(s)) chains[i].at[s] = chains[k].at[s];
      chains.erase(chains.begin() + static_cast<std::ptrdiff_t>(k));
      k = i + 1;
    }
}

double mean_offset(const LineChain& chain) {
  double sum = 0;
  for (const LinePlace& p : chain.at) sum += p.offset_px;
  return sum / static_cast<double>(chain.at.size());
}

}  // namespace

double LineChain::consistent() const {
  const auto seen = std::count_if(at.begin(), at.end(), [](const LinePlace& p) { return p.slope != 0; });
  return static_cast<double>(seen) / static_cast<double>(at.size());
}

double LineChain::shared_slope(double part) const {
  std::vector<double> slopes;
  slopes.reserve(at.size());
  for (const LinePlace& p : at) slopes.push_back(p.slope);
  const auto left = static_cast<std::ptrdiff_t>((1 - part) * static_cast<double>(slopes.size()));
  std::nth_element(slopes.begin(), slopes.begin() + left, slopes.end());
  if (slopes[static_cast<std::size_t>(left)] > 0) return slopes[static_cast<std::size_t>(left)];
  const std::ptrdiff_t other = static_cast<std::ptrdiff_t>(slopes.size()) - 1 - left;
  std::nth_element(slopes.begin(), slopes.begin() + other, slopes.end());
  return std::min(0.0, slopes[static_cast<std::size_t>(other)]);
}

double LineChain::unevenness_px() const {
  // The second difference of white noise has six times its variance.
  double square = 0;
  int count = 0;
  for (std::size_t s = 1; s + 1 < at.size(); ++s) {
    if (!shows(s - 1) || !shows(s) || !shows(s + 1)) continue;
    square += std::pow(at[s - 1].offset_px - 2 * at[s].offset_px + at[s + 1].offset_px, 2);
    ++count;
  }
  return count > 0 ? std::sqrt(square / (6.0 * count)) : 0;
}

std::vector<LineChain> line_chains(const std::vector<SegmentProfile>& segments, int outward_px,
                                   double least_slope, double most_step_px, double least_seen) {
  Nodes nodes;
  nodes.reserve(segments.size());
  for (const SegmentProfile& s : segments) nodes.push_back(steepest(s.slope, outward_px, least_slope));
  Follower follower(nodes, most_step_px);
  std::vector<LineChain> chains;
  while (auto chain = follower.next()) chains.push_back(std::move(*chain));
  join(chains, most_step_px);
  chains.erase(std::remove_if(chains.begin(), chains.end(),
                              [&](const LineChain& c) { return c.consistent() < least_seen; }),
               chains.end());
  for (LineChain& chain : chains) fill(chain);
  std::sort(chains.begin(), chains.end(),
            [](const LineChain& a, const LineChain& b) { return mean_offset(a) < mean_offset(b); });
  return chains;
}

}  // namespace tapersight
