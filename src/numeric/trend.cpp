#include "numeric/trend.h"

#include <algorithm>
#include <cmath>

#include "numeric/dense.h"
#include "numeric/t_mixture.h"
#include "numeric/trend_spectrum.h"

namespace tapersight {
namespace {

constexpr int kMostBins = 768;
constexpr int kRegressors = 3;

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

// How many cosines: the fewer, the nearer to the frequencies that matter (slow errors that the fitted shape
// does not know, such as the wood's figure along the edge, are then seen as they are), the more, the better
// known. Sixteen cost 6 % in the coverage factor.
constexpr int kCosines = 16;

// Mean shape over the frequencies that a regressor is made of: its cosine coefficients fall as 1 / j^2, odd j
// for the slope, even j for the bow.
double shape_of_regressor(const SpectrumShape& shape, double length_mm, int first) {
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

// The residuals' first `cosines` squared cosine coefficients, each an estimate of their spectrum, a bin's
// weight. `root`: of the bins' weights; `weighted`: the design, times root.
std::vector<double> lowest_coefficients(const Binned& b, const Eigen::VectorXd& root,
                                        const Eigen::MatrixXd& weighted, const Eigen::VectorXd& residual,
                                        int cosines) {
  const Eigen::Index n = b.x.size();
  // Orthonormal directions: the regressors first, then the cosines (modified Gram-Schmidt, twice for safety).
  Eigen::MatrixXd basis(n, kRegressors + cosines);
  basis.leftCols(kRegressors) = weighted;
  for (int j = 0; j < cosines; ++j)
    for (Eigen::Index i = 0; i < n; ++i)
      basis(i, kRegressors + j) = root[i] * std::cos(M_PI * (j + kFirstCosine) * (b.x[i] + 1) / 2);
  const Eigen::VectorXd weighted_residual = root.cwiseProduct(residual);
  std::vector<double> squares;
  for (Eigen::Index k = 0; k < basis.cols(); ++k) {
    for (int twice = 0; twice < 2; ++twice)
      if (k > 0) {
        const Eigen::VectorXd projection = basis.leftCols(k).transpose() * basis.col(k);
        basis.col(k) -= basis.leftCols(k) * projection;
      }
    basis.col(k).normalize();
    if (k < kRegressors) continue;
    const double coefficient = basis.col(k).dot(weighted_residual);
    squares.push_back(coefficient * coefficient);
  }
  return squares;
}

// The residuals' variance at frequency zero, had they the spectrum's shape: each coefficient over what the
// shape has there.
double long_run_variance(const std::vector<double>& squares, const SpectrumShape& shape, double length) {
  double sum = 0;
  for (std::size_t k = 0; k < squares.size(); ++k)
    sum += squares[k] / shape.at(static_cast<double>(k + kFirstCosine) / (2 * length));
  return sum / static_cast<double>(squares.size());
}

// Uncertainties of level, slope (times half the length) and curve, by every shape that is believed.
void state_uncertainties(const std::vector<BelievedShape>& shapes, const std::vector<double>& squares,
                         const Eigen::Matrix3d& inverse, Trend& t) {
  const double length = 2 * t.half;
  std::vector<PossibleU> level, slope, curve;
  double flat = 0, whole = 0;
  for (const BelievedShape& b : shapes) {
    const double variance = long_run_variance(squares, b.shape, length);
    const double of_slope = variance * shape_of_regressor(b.shape, length, 1);
    const double of_curve = variance * shape_of_regressor(b.shape, length, 2);
    level.push_back({std::sqrt(variance * b.shape.at(1 / length) * inverse(0, 0)), b.probability});
    slope.push_back({std::sqrt(of_slope * inverse(1, 1)), b.probability});
    if (!(b.shape.slow > 0)) curve.push_back({std::sqrt(of_curve * inverse(2, 2)), b.probability});
    t.correlation_mm += b.probability * b.shape.correlation_mm;
    t.slow_share += b.probability * b.slow_share;
    // How much less the slope would be in doubt on a strip twice as long: a spectrum f^-a leaves L^(a - 3).
    flat += b.probability * of_slope;
    whole += b.probability * variance * shape_of_regressor(b.shape, 2 * length, 1);
  }
  const auto dof = static_cast<double>(squares.size());
  t.u_level = stated_uncertainty(level, dof).u;
  // A bow is itself what is slow: it is held against what is left without that.
  double steady = 0;
  for (const PossibleU& p : curve) steady += p.probability;
  for (PossibleU& p : curve) p.probability /= steady;
  const StatedU of_slope = stated_uncertainty(slope, dof), of_curve = stated_uncertainty(curve, dof);
  t.u_slope = of_slope.u / t.half;
  t.dof = of_slope.dof;
  t.u_curve = of_curve.u;
  t.curve_dof = of_curve.dof;
  t.length_power = (3 - std::log2(whole / flat)) / 2;
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

  const std::vector<BelievedShape> shapes = believed_shapes(periodogram(b, residual), length);
  const int cosines = std::min<int>(kCosines, static_cast<int>(n / 8));
  state_uncertainties(shapes, lowest_coefficients(b, root, weighted, residual, cosines), inverse, t);
  return t;
}

}  // namespace tapersight
