// Code values to light.
#include <gtest/gtest.h>

#include "imaging/picture.h"

namespace tapersight {
namespace {

TEST(LightOfCode, IsTheSrgbTransferFunction) {
  // IEC 61966-2-1: 0 and 255 are black and white; code 118 is close to 18 % grey (published in many tables).
  EXPECT_FLOAT_EQ(light_of_code()[0], 0);
  EXPECT_FLOAT_EQ(light_of_code()[255], 1);
  EXPECT_NEAR(light_of_code()[118], 0.1812, 0.0005);
}

}  // namespace
}  // namespace tapersight
