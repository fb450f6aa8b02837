#include "numeric/descriptive.h"

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

std::vector<double> deviations(const std::vector<double>& values, double centre) {
  std::vector<double> result;
  result.reserve(values.size());
  for (const double value : values) result.push_back(value - centre);
  return result;
}

}  // namespace

double compensated_sum(const std::vector<double>& values) {
  double sum = 0;
  double lost = 0;
  for (const double value : values) {
    const double next = sum + value;
    lost += std::abs(sum) >= std::abs(value) ? (sum - next) + value : (value - next) + sum;
    sum = next;
  }
  return sum + lost;
}

double mean(const std::vector<double>& values) {
  return compensated_sum(values) / static_cast<double>(values.size());
}

double sum_of_squares(const std::vector<double>& values) {
  std::vector<double> residuals = deviations(values, mean(values));
  const double rest = compensated_sum(residuals);
  for (double& residual : residuals) residual *= residual;
  return std::max(0.0, compensated_sum(residuals) - rest * rest / static_cast<double>(values.size()));
}

double standard_deviation(const std::vector<double>& values) {
  return std::sqrt(sum_of_squares(values) / static_cast<double>(values.size() - 1));
}

double jackknife_u(const std::vector<double>& without_each) {
  const auto n = static_cast<double>(without_each.size());
  return n > 1 ? std::sqrt((n - 1) / n * sum_of_squares(without_each)) : 0;
}

double autocorrelation(const std::vector<double>& values, std::size_t lag) {
  const std::vector<double> residuals = deviations(values, mean(values));
  std::vector<double> products;
  for (std::size_t i = 0; i + lag < residuals.size(); ++i)
    products.push_back(residuals[i] * residuals[i + lag]);
  return compensated_sum(products) / sum_of_squares(values);
}

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

double median_absolute_deviation(const std::vector<double>& values) {
  std::vector<double> sizes = deviations(values, median(values));
  for (double& size : sizes) size = std::abs(size);
  return median(std::move(sizes));
}

}  // namespace tapersight
