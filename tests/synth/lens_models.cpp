#include "synth/lens_models.h"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/property_tree/ptree.hpp>
#include <boost/property_tree/xml_parser.hpp>
#include <cmath>
#include <filesystem>
#include <optional>
#include <sstream>

#include "base/files.h"

namespace tapersight {
namespace {

namespace fs = std::filesystem;
using Tree = boost::property_tree::ptree;

constexpr double kFilmHalfDiagonalMm = 21.633307652783937;  // of 36 mm x 24 mm

// r_d / r_u as a polynomial in r_u: constant term first.
std::array<double, 5> factor_terms(const MeasuredLens& lens) {
  const auto& t = lens.terms;
  if (lens.kind == LensModelKind::kPoly3) return {1 - t[0], 0, t[0], 0, 0};
  if (lens.kind == LensModelKind::kPoly5) return {1, 0, t[0], 0, t[1]};
  return {1 - t[0] - t[1] - t[2], t[2], t[1], t[0], 0};
}

double slope(const MeasuredLens& lens, double r) {
  const auto p = factor_terms(lens);
  return p[0] + r * (2 * p[1] + r * (3 * p[2] + r * (4 * p[3] + r * 5 * p[4])));
}

// How far from the middle a ray at this tangent is seen, half diagonals.
double seen_at(const SceneLens& lens, double t) {
  double more = 0;
  for (auto i = lens.radial.size(); i-- > 0;) more = t * (lens.radial[i] + more);
  return lens.focal * t * (1 + more);
}

// The tangent that is seen in the corner.
double corner_tangent(const SceneLens& lens) {
  constexpr double kStep = 1e-3, kWidest = 3;
  double t = 0;
  while (seen_at(lens, t) < 1 && t < kWidest) t += kStep;
  return t;
}

// "4:3" or "1.5".
double aspect_of(const std::string& text) {
  const auto colon = text.find(':');
  if (colon == std::string::npos) return std::stod(text);
  return std::stod(text.substr(0, colon)) / std::stod(text.substr(colon + 1));
}

std::optional<LensModelKind> kind_of(const std::string& name) {
  for (const auto kind : {LensModelKind::kPoly3, LensModelKind::kPoly5, LensModelKind::kPtlens})
    if (kind_name(kind) == name) return kind;
  return std::nullopt;
}

std::optional<MeasuredLens> distortion_of(const Tree& element) {
  const auto kind = kind_of(element.get<std::string>("<xmlattr>.model", ""));
  if (!kind) return std::nullopt;
  MeasuredLens lens;
  lens.kind = *kind;
  lens.focal_mm = element.get<double>("<xmlattr>.focal");
  const auto term = [&](const char* name) {
    return element.get<double>(std::string("<xmlattr>.") + name, 0.0);
  };
  if (*kind == LensModelKind::kPtlens)
    lens.terms = {term("a"), term("b"), term("c")};
  else
    lens.terms = {term("k1"), term("k2"), 0};
  return lens;
}

std::optional<MeasuredLens> widest(const Tree& lens_element) {
  std::optional<MeasuredLens> best;
  const auto calibration = lens_element.get_child_optional("calibration");
  if (!calibration || lens_element.get<std::string>("type", "rectilinear") != "rectilinear") return best;
  for (const auto& [name, element] : *calibration) {
    if (name != "distortion") continue;
    const auto lens = distortion_of(element);
    if (lens && (!best || lens->focal_mm < best->focal_mm)) best = lens;
  }
  return best;
}

}  // namespace

std::string kind_name(LensModelKind kind) {
  if (kind == LensModelKind::kPoly3) return "poly3";
  return kind == LensModelKind::kPoly5 ? "poly5" : "ptlens";
}

double distorted_radius(const MeasuredLens& lens, double r) {
  const auto p = factor_terms(lens);
  return r * (p[0] + r * (p[1] + r * (p[2] + r * (p[3] + r * p[4]))));
}

double undistorted_radius(const MeasuredLens& lens, double distorted) {
  double r = distorted;
  for (int i = 0; i < 50; ++i) {
    const double step = (distorted_radius(lens, r) - distorted) / slope(lens, r);
    r -= step;
    if (std::abs(step) < 1e-15) break;
  }
  return r;
}

double unit_radius_mm(const MeasuredLens& lens) {
  return kFilmHalfDiagonalMm / lens.crop / corner_radius(lens);
}

double corner_radius(const MeasuredLens& lens) {
  return std::hypot(lens.aspect, 1);
}

bool is_usable(const MeasuredLens& lens) {
  constexpr double kReach = 1.1;  // a little beyond the corner
  const double corner = kReach * corner_radius(lens);
  const double middle = factor_terms(lens)[0];
  for (double r = 0; r <= 1.5 * corner; r += 0.01) {
    if (!(slope(lens, r) > 0.4 * middle)) return false;
    if (distorted_radius(lens, r) > corner) return true;
  }
  return false;
}

SceneLens scene_lens(const MeasuredLens& lens) {
  const auto p = factor_terms(lens);
  const double focal = lens.focal_mm / unit_radius_mm(lens);  // in lensfun's radii
  SceneLens scene;
  scene.focal = lens.focal_mm * lens.crop / kFilmHalfDiagonalMm;
  double scale = 1 / p[0];
  for (std::size_t i = 0; i < 4; ++i) {
    scale *= focal / p[0];
    scene.radial[i] = p[i + 1] * scale;
  }
  return scene;
}

SceneLens even_twin(const SceneLens& lens) {
  constexpr int kPoints = 400;
  const double corner = corner_tangent(lens);
  Eigen::MatrixXd powers(kPoints, 4);
  Eigen::VectorXd wanted(kPoints);
  for (int i = 0; i < kPoints; ++i) {
    const double t = corner * (i + 0.5) / kPoints;
    const double q = t * t;
    powers.row(i) << t, t * q, t * q * q, t * q * q * q;
    wanted[i] = seen_at(lens, t);
  }
  const Eigen::VectorXd e = powers.colPivHouseholderQr().solve(wanted);
  SceneLens twin;
  twin.focal = e[0];
  twin.radial = {0, e[1] / e[0], 0, e[2] / e[0], 0, e[3] / e[0]};
  return twin;
}

double largest_difference(const SceneLens& a, const SceneLens& b) {
  constexpr int kPoints = 1000;
  const double corner = corner_tangent(a);
  double largest = 0;
  for (int i = 0; i <= kPoints; ++i) {
    const double t = corner * i / kPoints;
    largest = std::max(largest, std::abs(seen_at(a, t) - seen_at(b, t)));
  }
  return largest;
}

std::vector<MeasuredLens> parse_lenses(const std::string& xml, double least_crop, bool phones) {
  std::istringstream text(xml);
  Tree tree;
  boost::property_tree::read_xml(text, tree);
  std::vector<MeasuredLens> lenses;
  for (const auto& [name, element] : tree.get_child("lensdatabase")) {
    if (name != "lens") continue;
    auto lens = widest(element);
    if (!lens) continue;
    lens->crop = element.get<double>("cropfactor", 1);
    lens->aspect = aspect_of(element.get<std::string>("aspect-ratio", "1.5"));
    lens->phone = phones;
    if (lens->crop >= least_crop) lenses.push_back(*lens);
  }
  return lenses;
}

Result<std::vector<MeasuredLens>> read_lenses(const std::string& folder) {
  constexpr double kPhonesCrop = 3.5;  // sensors up to 12 mm: no interchangeable lens in that file has one
  std::error_code error;
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(folder, error)) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::vector<MeasuredLens> lenses;
  for (const fs::path& file : files) {
    const std::string name = file.filename().string();
    const bool phones = name == "misc.xml";
    if (!phones && name.rfind("compact-", 0) != 0) continue;
    const auto text = read_file(file.string());
    if (!text) return text.failure();
    const auto some = parse_lenses(*text, phones ? kPhonesCrop : 0, phones);
    lenses.insert(lenses.end(), some.begin(), some.end());
  }
  if (lenses.empty())
    return Failure{"lens-data-missing", "There are no measured lenses in " + folder + ".",
                   std::string("Install the Debian package ") + kLensPackage + "."};
  return lenses;
}

std::vector<SceneLens> scene_lenses(const std::vector<MeasuredLens>& lenses) {
  std::vector<SceneLens> scenes;
  for (const MeasuredLens& lens : lenses) {
    const double film_mm = lens.focal_mm * lens.crop;
    if (is_usable(lens) && film_mm >= 20 && film_mm <= 40) scenes.push_back(even_twin(scene_lens(lens)));
  }
  return scenes;
}

}  // namespace tapersight
