#include "numeric/trend_spectrum.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <iterator>

namespace tapersight {
namespace {

// The lowest cosines only: what the roughness does over less than some mm says nothing of the trend, and its
// own shape, which the grid does not hold exactly, would decide by its numbers. 128: waves of 3 mm on a strip
// of 7.5 in.
constexpr int kMostCosines = 128;
constexpr double kBand = 1.12;  // neighbouring cosines are taken together, a band reaching 1.12 times as far

constexpr double kShortMm[] = {0.35, 0.5, 0.7, 1, 1.4, 2, 2.8, 4, 5.6, 8};
constexpr int kPowers[] = {1, 4};
constexpr double kWhites[] = {0, 0.03, 0.1, 0.3};

// 1/f and what is near it (0.5 to 2: pink to brown; no published figure for sawn wood), to waves far longer
// than a strip or levelling off at 100 or 40 mm; wavers (8: all but Gaussian), and kinks (4).
struct Slow {
  double exponent, longest_mm;
};
constexpr Slow kSlows[] = {{0.5, 1000}, {1, 1000}, {1, 100}, {2, 1000}, {2, 100}, {2, 40},
                           {4, 200},    {4, 60},   {4, 30},  {8, 60},   {8, 30}};
constexpr double kShares[] = {0.2, 0.5, 0.8, 0.95, 0.99, 0.999};  // of the slow part in the lowest cosines
constexpr Eigen::Index kLowest = 14;                              // bands that this is told by

// How often an edge has no slow part, before anything is seen of it: assumed. At 0.5 the intervals of edges
// without one become 15 % wider for nothing, at 0.85 those of edges with a faint one hold in 85 %.
constexpr double kPriorSteady = 0.8;
constexpr double kLeastOdds = 1e-3;  // shapes less likely than the best by this are left out

struct Bands {
  Eigen::ArrayXd cosine, seen, count;
};

Bands bands_of(const std::vector<double>& power) {
  std::vector<double> cosine, seen, count;
  const int end = std::min(kMostCosines, static_cast<int>(power.size()));
  for (int first = kFirstCosine, next = 0; first < end; first = next) {
    next = std::min(end, std::max(first + 1, static_cast<int>(kBand * first)));
    double sum = 0;
    for (int j = first; j < next; ++j) sum += power[static_cast<std::size_t>(j)];
    cosine.push_back(std::sqrt(static_cast<double>(first) * (next - 1)));
    count.push_back(next - first);
    seen.push_back(sum / (next - first));
  }
  const auto array = [](const std::vector<double>& v) -> Eigen::ArrayXd {
    return Eigen::Map<const Eigen::ArrayXd>(v.data(), static_cast<Eigen::Index>(v.size()));
  };
  return {array(cosine), array(seen), array(count)};
}

std::vector<SpectrumShape> steady_shapes(double length_mm) {
  std::vector<SpectrumShape> shapes(1);
  for (const double correlation : kShortMm)
    for (const int power : kPowers)
      for (const double white : kWhites)
        if (correlation <= length_mm / 20) shapes.push_back({correlation, power, white, 0, 1, 1});
  return shapes;
}

double slow_at(const Slow& slow, double frequency) {
  const double w = frequency * slow.longest_mm;
  return std::pow(1 + w * w, -slow.exponent / 2);
}

// The slow parts at the bands' frequencies, each with a mean of 1 over the lowest.
std::vector<Eigen::ArrayXd> slow_parts(const Eigen::ArrayXd& frequency) {
  std::vector<Eigen::ArrayXd> parts;
  for (const Slow& slow : kSlows) {
    const Eigen::ArrayXd part = frequency.unaryExpr([&](double f) { return slow_at(slow, f); });
    parts.push_back(part / part.head(std::min(kLowest, part.size())).mean());
  }
  return parts;
}

class Judge {
 public:
  Judge(const std::vector<double>& power, double length_mm)
      : bands_(bands_of(power)),
        frequency_(bands_.cosine / (2 * length_mm)),
        slows_(slow_parts(frequency_)),
        total_(bands_.count.sum()) {}

  void try_steady(const SpectrumShape& steady) {
    const Eigen::ArrayXd part = frequency_.unaryExpr([&](double f) { return steady.steady_at(f); });
    add(steady, 0, part, kPriorSteady);
    const double level = part.head(std::min(kLowest, part.size())).mean();
    for (std::size_t i = 0; i < slows_.size(); ++i)
      for (const double share : kShares) {
        const double over = share / (1 - share) * level;
        SpectrumShape shape = steady;
        shape.exponent = kSlows[i].exponent;
        shape.longest_mm = kSlows[i].longest_mm;
        shape.slow = over * slows_[i][0] / slow_at(kSlows[i], frequency_[0]);
        add(shape, share, part + over * slows_[i],
            (1 - kPriorSteady) / static_cast<double>(std::size(kSlows) * std::size(kShares)));
      }
  }

  std::vector<BelievedShape> verdict() const {
    const auto more_likely = [](const BelievedShape& a, const BelievedShape& b) {
      return a.probability < b.probability;
    };
    const auto best = std::max_element(all_.begin(), all_.end(), more_likely);
    const auto best_steady =
        std::max_element(all_.begin(), all_.end(), [&](const BelievedShape& a, const BelievedShape& b) {
          return (a.shape.slow > 0) != (b.shape.slow > 0) ? a.shape.slow > 0 : more_likely(a, b);
        });
    double sum = 0;
    std::vector<BelievedShape> kept;
    for (auto b = all_.begin(); b != all_.end(); ++b) {
      const double odds = std::max(std::exp(b->probability - best->probability), 1e-30);
      if (odds < kLeastOdds && b != best_steady) continue;
      sum += odds;
      kept.push_back(*b);
      kept.back().probability = odds;
    }
    for (BelievedShape& b : kept) b.probability /= sum;
    return kept;
  }

 private:
  // `probability` holds its logarithm until the verdict.
  void add(const SpectrumShape& shape, double share, const Eigen::ArrayXd& part, double prior) {
    const double level = std::max((bands_.count * bands_.seen / part).sum() / total_, 1e-300);
    const double minus_twice = total_ * std::log(level) + (bands_.count * part.log()).sum();
    all_.push_back({shape, std::log(prior) - minus_twice / 2, share});
  }

  Bands bands_;
  Eigen::ArrayXd frequency_;
  std::vector<Eigen::ArrayXd> slows_;
  double total_ = 0;
  std::vector<BelievedShape> all_;
};

}  // namespace

double SpectrumShape::steady_at(double frequency) const {
  const double w = 2 * M_PI * frequency * correlation_mm;
  const double base = 1 / (1 + w * w / power);
  double correlated = base;
  for (int k = 1; k < power; ++k) correlated *= base;
  return (correlated + white) / (1 + white);
}

double SpectrumShape::at(double frequency) const {
  return steady_at(frequency) + (slow > 0 ? slow * slow_at({exponent, longest_mm}, frequency) : 0);
}

std::vector<BelievedShape> believed_shapes(const std::vector<double>& power, double length_mm) {
  Judge judge(power, length_mm);
  for (const SpectrumShape& steady : steady_shapes(length_mm)) judge.try_steady(steady);
  return judge.verdict();
}

}  // namespace tapersight
