// Descriptive statistics that keep their digits: compensated sums, two-pass variance.
#pragma once
#include <cstddef>
#include <vector>

namespace tapersight {

// Sum with Neumaier's compensation: the error does not grow with the number of terms
// (A. Neumaier, "Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen", 1974).
double compensated_sum(const std::vector<double>& values);

// Arithmetic mean. At least one value.
double mean(const std::vector<double>& values);

// Sum of squared deviations from the mean, corrected two-pass (Chan, Golub, LeVeque, "Algorithms for
// computing the sample variance", 1983, eq. 1.7). At least one value.
double sum_of_squares(const std::vector<double>& values);

// Experimental standard deviation s, divisor n - 1 (JCGM 100:2008, 4.2.2). At least two values.
double standard_deviation(const std::vector<double>& values);

// Standard uncertainty of an estimate from its values with one of n equal groups of the data left out at a
// time: the delete-a-group jackknife, sqrt((n - 1) / n sum of squares) (Efron and Stein 1981, from memory). 0
// for fewer than two values.
double jackknife_u(const std::vector<double>& without_each);

// Sum of (x_t - mean)(x_t+lag - mean) over the sum of squares, as the NIST StRD certifies it. More values
// than `lag`, not all the same.
double autocorrelation(const std::vector<double>& values, std::size_t lag);

// Middle value; of an even count the mean of the two middle ones. At least one value.
double median(std::vector<double> values);

// Median of the absolute deviations from the median, without the factor 1.4826 that makes it a standard
// deviation of Gaussian values. At least one value.
double median_absolute_deviation(const std::vector<double>& values);

}  // namespace tapersight
