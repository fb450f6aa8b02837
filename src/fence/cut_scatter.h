// How much the next strip from the same fence differs from this one: the board seats anew for every cut, the
// blade and the fence give a little. A picture tells about its strip; the fence is known only as well as one
// series of cuts shows it.
#pragma once
#include "fence/fence_error.h"

namespace tapersight {

// Of a strip's error about the fence's, as a standard deviation.
struct CutScatter {
  double sigma = 0;  // rad, > 0
  double dof = 0;    // of sigma
  int strips = 0;    // of a record, cut with the fence left alone; 0: the usual figure, not learned
};

// 0.4 thou over 12 in, with the doubt of four degrees of freedom: common practice, no published source.
CutScatter usual_cut_scatter();

// The fence as one series of cuts shows it: the strip's error, with the scatter in its uncertainty.
FenceError judged_by_one_cut(const FenceError& of_strip, const CutScatter& scatter);

}  // namespace tapersight
