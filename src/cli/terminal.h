// What the place can show to which the program prints.
#pragma once
#include "report/lines.h"

namespace tapersight {

// Of stdout and stderr: the terminal's own width (40 to 120 columns) and whether it shows bold and colour,
// which NO_COLOR and TERM=dumb switch off; the default where it is no terminal.
Terminal out_terminal();
Terminal err_terminal();

}  // namespace tapersight
