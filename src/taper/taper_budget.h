// The rows of a taper's uncertainty budget. Only for this folder.
#pragma once
#include <vector>

#include "numeric/trend.h"
#include "taper/clean_edges.h"
#include "taper/measure_strip.h"

namespace tapersight {

// `width`: the strip's width along it, mm, whose slope is the taper.
std::vector<BudgetRow> taper_budget(const Trend& width, const EdgeFit (&fits)[2], const CleanedEdges& edges,
                                    const EdgeTrace& trace, const SheetMap& map,
                                    const StripFitOptions& options);

}  // namespace tapersight
