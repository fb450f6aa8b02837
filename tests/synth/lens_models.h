// Distortion of real lenses, as lensfun's database keeps it (Debian package liblensfun-data-v1).
//
// lensfun 0.3.3 (its documentation, lensfun.h, lfDistortionModel, and libs/lensfun/modifier.cpp): the radius
// is 1 at the middle of the picture's long side, half its short side away from the middle, on a sensor of the
// crop factor and aspect ratio that the lens was measured on. r_u is the radius without distortion, r_d with
// it:
//     poly3    r_d = r_u (1 - k1 + k1 r_u^2)
//     poly5    r_d = r_u (1 + k1 r_u^2 + k2 r_u^4)
//     ptlens   r_d = r_u (a r_u^3 + b r_u^2 + c r_u + 1 - a - b - c)
#pragma once
#include <array>
#include <string>
#include <vector>

#include "base/result.h"
#include "synth/widened_scene.h"

namespace tapersight {

inline constexpr char kLensPackage[] = "liblensfun-data-v1";
inline constexpr char kLensFolder[] = "/usr/share/lensfun/version_1";

enum class LensModelKind { kPoly3, kPoly5, kPtlens };
std::string kind_name(LensModelKind kind);  // as the database calls it

// One lens at one focal length.
struct MeasuredLens {
  LensModelKind kind = LensModelKind::kPoly3;
  std::array<double, 3> terms = {0, 0, 0};  // k1; k1, k2; a, b, c
  double focal_mm = 5;
  double crop = 6;          // 43.27 mm over the sensor's diagonal
  double aspect = 3.0 / 2;  // long side over short side
  bool phone = false;       // not a camera's
};

double distorted_radius(const MeasuredLens& lens, double undistorted);
// Its inverse, by Newton's method; for lenses that are_usable, as far as the picture reaches.
double undistorted_radius(const MeasuredLens& lens, double distorted);

// Millimetres on the sensor of lensfun's radius 1, and that radius at the picture's corner.
double unit_radius_mm(const MeasuredLens& lens);
double corner_radius(const MeasuredLens& lens);

// Whether distortion grows steadily out to the corner, by no more than half.
bool is_usable(const MeasuredLens& lens);

// The same as CameraScene wants it: by the tangent of the angle to the axis, and with the middle of the
// picture keeping its scale. poly3 and ptlens shrink it by d = 1 - k1 or 1 - a - b - c; later versions of
// lensfun take that out again as here (mod-coord.cpp, rescale_polynomial_coefficients: a / d^4, b / d^3, c /
// d^2).
SceneLens scene_lens(const MeasuredLens& lens);

// The same lens with even powers alone, 1 + e1 t^2 + e2 t^4 + e3 t^6 fitted to it out to the corner by least
// squares. Glass that is round and smooth about its axis can have no others; the odd ones of ptlens bend the
// picture at its very middle, where nobody measured.
SceneLens even_twin(const SceneLens& lens);

// How far apart two lenses put the same ray at most, out to the corner, in half diagonals of the picture.
double largest_difference(const SceneLens& a, const SceneLens& b);

// Every lens of one database file that is not a fisheye's and whose distortion was measured, at its widest;
// only those with a crop factor of `least_crop` and above.
std::vector<MeasuredLens> parse_lenses(const std::string& xml, double least_crop, bool phones);

// The phones and the compact cameras among the package's. Failure codes: lens-data-missing.
Result<std::vector<MeasuredLens>> read_lenses(const std::string& folder = kLensFolder);

// The usable ones' even twins, ready for WidenedOptions::lenses: those as wide as a phone's main camera or a
// compact one is, 20 to 40 mm on 35 mm film.
std::vector<SceneLens> scene_lenses(const std::vector<MeasuredLens>& lenses);

}  // namespace tapersight
