#include "numeric/trend.h"

#include <algorithm>
#include <cmath>

#include "numeric/dense.h"

namespace tapersight {
namespace {

constexpr int kMostBins = 768;
constexpr int kRegressors = 3;
constexpr int kFirstCosine = 3;

double p2(double x) {
  return 1.5 * x * x - 0.5;
}

struct Binned {
  Eigen::VectorXd x;  // -1..1
  Eigen::VectorXd value;
  Eigen::VectorXd weight;  // number of samples
};

Binned bin_samples(const std::vector<TrendSample>& samples, double middle, double half) {
  const int bins = std::min<int>(kMostBins, static_cast<int>(samples.size()));
  std::vector<double> sx(static_cast<std::size_t>(bins), 0.0), sy(sx), n(sx);
  for (const TrendSample& s : samples) {
    const double x = (s.at - middle) / half;
    const auto i = static_cast<std::size_t>(std::clamp(static_cast<int>((x + 1) / 2 * bins), 0, bins - 1));
    sx[i] += x;
    sy[i] += s.value;
    n[i] += 1;
  }
  Binned b;
  const auto filled = std::count_if(n.begin(), n.end(), [](double c) { return c > 0; });
  b.x.resize(filled);
  b.value.resize(filled);
  b.weight.resize(filled);
  Eigen::Index k = 0;
  for (std::size_t i = 0; i < n.size(); ++i) {
    if (n[i] == 0) continue;
    b.x[k] = sx[i] / n[i];
    b.value[k] = sy[i] / n[i];
    b.weight[k++] = n[i];
  }
  return b;
}

// Spectrum shape, 1 at frequency zero: a Matern spectrum (1 + w^2 / power)^-power, w = 2 pi f c, plus white
// noise. Power 1 is exponential correlation of length c; larger powers are smoother processes, close to a
// Gaussian at 4.
struct Shape {
  double correlation_mm = 0;
  int power = 1;
  double white = 0;  // white part over the correlated part at frequency zero
  double at(double frequency) const {
    const double w = 2 * M_PI * frequency * correlation_mm;
    const double base = 1 / (1 + w * w / power);
    double correlated = base;
    for (int k = 1; k < power; ++k) correlated *= base;
    return (correlated + white) / (1 + white);
  }
};

// Squared cosine coefficients of the residuals on an even grid, gaps bridged; index j is frequency j / (2 L).
std::vector<double> periodogram(const Binned& b, const Eigen::VectorXd& residual) {
  const auto n = static_cast<int>(b.x.size());
  std::vector<double> even(static_cast<std::size_t>(n));
  Eigen::Index k = 0;
  for (int i = 0; i < n; ++i) {
    const double x = (2.0 * i + 1) / n - 1;
    while (k + 2 < n && b.x[k + 1] < x) ++k;
    const double f = std::clamp((x - b.x[k]) / (b.x[k + 1] - b.x[k]), 0.0, 1.0);
    even[static_cast<std::size_t>(i)] = (1 - f) * residual[k] + f * residual[k + 1];
  }
  std::vector<double> power(static_cast<std::size_t>(n / 2), 0.0);
  for (int j = kFirstCosine; j < n / 2; ++j) {
    // cos(pi j (i + 1/2) / n) by the Chebyshev recursion.
    const double step = 2 * std::cos(M_PI * j / n);
    double before = std::cos(-0.5 * M_PI * j / n);
    double now = std::cos(0.5 * M_PI * j / n);
    double sum = 0;
    for (int i = 0; i < n; ++i) {
      sum += even[static_cast<std::size_t>(i)] * now;
      const double next = step * now - before;
      before = now;
      now = next;
    }
    power[static_cast<std::size_t>(j)] = sum * sum * 2 / n;
  }
  return power;
}

// Whittle likelihood over a grid of correlation lengths and white parts; the level is profiled out.
Shape fit_shape(const std::vector<double>& power, double length_mm) {
  const auto count = static_cast<Eigen::Index>(power.size()) - kFirstCosine;
  const Eigen::Map<const Eigen::ArrayXd> seen(power.data() + kFirstCosine, count);
  Eigen::ArrayXd correlated(count);
  Shape best;
  double least = 1e300;
  const auto try_shape = [&](const Shape& s) {
    const double level = (seen / (correlated + s.white)).mean();
    const double objective =
        static_cast<double>(count) * std::log(level) + (correlated + s.white).log().sum();
    if (objective >= least) return;
    least = objective;
    best = s;
  };
  correlated.setOnes();
  try_shape({0, 1, 0});
  for (int i = 0; i < 26; ++i) {
    const double correlation = 0.05 * std::pow(1.22, i);  // 0.05 .. 7.2 mm
    if (correlation > length_mm / 20) break;
    for (const int exponent : {1, 2, 4}) {
      const Shape pure{correlation, exponent, 0};
      for (Eigen::Index k = 0; k < count; ++k)
        correlated[k] = pure.at(static_cast<double>(k + kFirstCosine) / (2 * length_mm));
      for (const double white : {0.0, 1e-5, 1e-4, 0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1.0})
        try_shape({correlation, exponent, white});
    }
  }
  return best;
}

// How many cosines: the fewer, the nearer to the frequencies that matter (slow errors that the fitted shape
// does not know, such as the wood's figure along the edge, are then seen as they are), the more, the better
// known. Sixteen cost 6 % in the coverage factor.
constexpr int kCosines = 16;

// Mean shape over the frequencies that a regressor is made of: its cosine coefficients fall as 1 / j^2, odd j
// for the slope, even j for the bow.
double shape_of_regressor(const Shape& shape, double length_mm, int first) {
  double sum = 0;
  double weight = 0;
  for (int j = first; j < first + 40; j += 2) {
    const double w = 1 / (std::pow(j, 4));
    sum += w * shape.at(j / (2 * length_mm));
    weight += w;
  }
  return sum / weight;
}

double rms_about(const std::vector<TrendSample>& samples, const Trend& t, const Eigen::Vector3d& solution) {
  double squares = 0;
  for (const TrendSample& s : samples) {
    const double x = (s.at - t.middle) / t.half;
    const double r = s.value - (solution[0] + solution[1] * x + solution[2] * p2(x));
    squares += r * r;
  }
  return std::sqrt(squares / std::max<double>(1, static_cast<double>(samples.size()) - kRegressors));
}

// The residuals' variance at the lowest frequency, a bin's weight: from their first `cosines` cosines, each
// over what the spectrum's shape has there. `root`: of the bins' weights; `weighted`: the design, times root.
double long_run_variance(const Binned& b, const Eigen::VectorXd& root, const Eigen::MatrixXd& weighted,
                         const Eigen::VectorXd& residual, const Shape& shape, double length, int cosines) {
  const Eigen::Index n = b.x.size();
  // Orthonormal directions: the regressors first, then the cosines (modified Gram-Schmidt, twice for safety).
  Eigen::MatrixXd basis(n, kRegressors + cosines);
  basis.leftCols(kRegressors) = weighted;
  for (int j = 0; j < cosines; ++j)
    for (Eigen::Index i = 0; i < n; ++i)
      basis(i, kRegressors + j) = root[i] * std::cos(M_PI * (j + kFirstCosine) * (b.x[i] + 1) / 2);
  const Eigen::VectorXd weighted_residual = root.cwiseProduct(residual);
  double sum = 0;
  for (Eigen::Index k = 0; k < basis.cols(); ++k) {
    for (int twice = 0; twice < 2; ++twice)
      if (k > 0) {
        const Eigen::VectorXd projection = basis.leftCols(k).transpose() * basis.col(k);
        basis.col(k) -= basis.leftCols(k) * projection;
      }
    basis.col(k).normalize();
    if (k < kRegressors) continue;
    const double coefficient = basis.col(k).dot(weighted_residual);
    const auto j = static_cast<double>(k - kRegressors + kFirstCosine);
    sum += coefficient * coefficient / shape.at(j / (2 * length));
  }
  return sum / cosines;
}

}  // namespace

double Trend::at(double position) const {
  return level + slope * (position - middle);
}

Trend fit_trend(const std::vector<TrendSample>& samples) {
  Trend t;
  t.middle = (samples.front().at + samples.back().at) / 2;
  t.half = (samples.back().at - samples.front().at) / 2;
  const double length = 2 * t.half;
  const Binned b = bin_samples(samples, t.middle, t.half);
  const Eigen::Index n = b.x.size();

  // Everything is weighted by the number of samples: multiply rows by its root.
  const Eigen::VectorXd root = b.weight.cwiseSqrt();
  Eigen::MatrixXd design(n, kRegressors);
  for (Eigen::Index i = 0; i < n; ++i) design.row(i) << 1, b.x[i], p2(b.x[i]);
  const Eigen::MatrixXd weighted = root.asDiagonal() * design;
  const Eigen::Vector3d solution = PivotedQr(weighted).solve(root.cwiseProduct(b.value));
  const Eigen::Matrix3d inverse = tapersight::inverse(gram(weighted));
  const Eigen::VectorXd residual = b.value - design * solution;
  t.level = solution[0];
  t.slope = solution[1] / t.half;
  t.curve = solution[2];
  t.rms = rms_about(samples, t, solution);

  const Shape shape = fit_shape(periodogram(b, residual), length);
  t.correlation_mm = shape.correlation_mm;
  const int cosines = std::min<int>(kCosines, static_cast<int>(n / 8));
  const double variance = long_run_variance(b, root, weighted, residual, shape, length, cosines);
  t.dof = cosines;
  t.u_level = std::sqrt(variance * inverse(0, 0));
  t.u_slope = std::sqrt(variance * inverse(1, 1) * shape_of_regressor(shape, length, 1)) / t.half;
  t.u_curve = std::sqrt(variance * inverse(2, 2) * shape_of_regressor(shape, length, 2));
  return t;
}

}  // namespace tapersight
