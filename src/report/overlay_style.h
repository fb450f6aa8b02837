// The look of the overlay: one set of colours and marks for the picture and the plots. Blue and orange stay
// apart for every common kind of colour blindness; what is left out differs in shape as well.
#pragma once
#include "report/canvas.h"

namespace tapersight::overlay_style {

inline constexpr Colour kGround{0.975, 0.968, 0.949};
inline constexpr Colour kPanel{1, 1, 1};
inline constexpr Colour kInk{0.13, 0.17, 0.21};
inline constexpr Colour kQuiet{0.42, 0.45, 0.48};
inline constexpr Colour kGrid{0.87, 0.87, 0.85};
inline constexpr Colour kEdge[2] = {{0.10, 0.42, 0.78}, {0.87, 0.39, 0.05}};  // left, right
inline constexpr Colour kLeftOut{0.72, 0.08, 0.36};
inline constexpr Colour kSheet{0.05, 0.58, 0.40};
inline constexpr Colour kFence{0.30, 0.16, 0.50};

}  // namespace tapersight::overlay_style
