// Is a bow one even curve, or two straight lines that were taken for one? Only for this folder.
#pragma once
#include "taper/clean_edges.h"

namespace tapersight {

// Natural logarithm of the odds, by the residuals of means over 8 mm (longer than a sawn edge's roughness is
// correlated): a parabola over two straight lines that meet anywhere (Schwarz 1978, Estimating the Dimension
// of a Model, from memory: the second has one parameter more). Positive: the even curve.
double log_odds_of_even_bow(const std::vector<LocalPoint>& points, const Stretch& stretch);

}  // namespace tapersight
