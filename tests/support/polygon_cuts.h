// The cuts by which the formulas are tested; the report's drawing of the sled is made of them as well.
#pragma once
#include "fence/polygon_cuts.h"
