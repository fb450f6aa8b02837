// How well fit_camera explains real lenses: for every phone's and compact camera's lens of Debian's package
// liblensfun-data-v1 the sheet's saddles, exact, at poses as people hold a phone; then the largest residual
// along a strip's edges over 7.5 in, and the taper that it would forge. The database's commonest formula has
// odd powers, which glass has not; so each lens is taken with them and without.
//   bench_lenses [--poses N = 12] [--noise PX = 0] [--seed S] [--json FILE]
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <nlohmann/json.hpp>
#include <random>
#include <string>
#include <vector>

#include "base/files.h"
#include "base/rng.h"
#include "base/units.h"
#include "synth/lens_models.h"
#include "synth/photo_truth.h"
#include "synth/random_parts.h"
#include "synth/roughness.h"
#include "target/fit_camera.h"

namespace tapersight {
namespace {

struct Options {
  int poses = 12;
  double noise_px = 0;  // of every saddle, each axis
  std::uint64_t seed = 0;
  std::string json;
};

// What one lens does at one pose.
struct Fit {
  double residual_mm = 0;  // largest along both edges, on the sheet
  double taper_thou = 0;   // forged over 7.5 in, edges on the sheet
  double even_thou = 0;    // edges on the sheet, the lens' even twin in its place
  double top_thou = 0;     // the same for arrises 12 mm above it
  int parameters = 0;
};

struct LensRow {
  std::size_t index = 0;
  MeasuredLens lens;
  double distortion = 0;  // at the corner, part of the radius
  double twin_px = 0;     // how far the even twin is off at most, 12 megapixels
  std::vector<Fit> fits;
  int failed = 0;
  double worst(double Fit::*what) const {
    double most = 0;
    for (const Fit& fit : fits) most = std::max(most, std::abs(fit.*what));
    return most;
  }
};

constexpr double kStripMm = 7.5 * kMmPerInch;
constexpr double kThicknessMm = 12;

void use_lens(const SceneLens& lens, CameraScene& camera) {
  camera.focal_px = lens.focal * std::hypot(camera.size_px.width, camera.size_px.height) / 2;
  camera.radial = lens.radial;
}

PhotoScene posed(const SceneLens& lens, Rng& rng) {
  PhotoScene scene;
  CameraScene& camera = scene.camera;
  camera = phone_camera(12);
  use_lens(lens, camera);
  PhotoStripScene& strip = scene.strips.front();
  strip.length_mm = kStripMm;
  strip.width_mm = rng.uniform(9, 26);
  strip.thickness_mm = kThicknessMm;
  strip.angle_deg = rng.uniform(-2, 2);
  strip.offset_x_mm = rng.uniform(-8, 8);
  strip.offset_y_mm = rng.uniform(-25, 25);
  do {
    camera.distance_mm = rng.uniform(250, 650) * lens.focal / 1.23;
    camera.tilt_deg = rng.uniform(0, 25);
    camera.tilt_towards_deg = rng.uniform(0, 360);
    camera.roll_deg = rng.uniform(0, 360);
    camera.look_at_mm = {rng.uniform(-25, 25), rng.uniform(-25, 25)};
  } while (!all_in_view(scene));
  return scene;
}

// The slope of v over u by least squares.
double slope_of(const std::vector<Eigen::Vector2d>& points) {
  Eigen::Vector2d middle(0, 0);
  for (const Eigen::Vector2d& p : points) middle += p / static_cast<double>(points.size());
  double uu = 0, uv = 0;
  for (const Eigen::Vector2d& p : points) {
    uu += (p.y() - middle.y()) * (p.y() - middle.y());
    uv += (p.y() - middle.y()) * (p.x() - middle.x());
  }
  return uv / uu;
}

// Both edges, as the fitted view sees them through the true camera: v, u of the strip frame.
std::vector<Eigen::Vector2d> seen_edge(const PhotoScene& scene, const PinholeCamera& camera,
                                       const CameraView& view, double v_mm, double height_mm) {
  const PhotoStripScene& strip = scene.strips.front();
  const Eigen::Affine2d bench_from_strip = page_from_strip(scene, strip);
  const Eigen::Affine2d strip_from_sheet = bench_from_strip.inverse() * page_from_sheet(scene);
  std::vector<Eigen::Vector2d> points;
  for (double u = -kStripMm / 2; u <= kStripMm / 2; u += 0.5)
    points.emplace_back(strip_from_sheet * view.sheet_from_picture(camera.pixel_at_height(
                                               bench_from_strip * Eigen::Vector2d(v_mm, u), height_mm)));
  return points;
}

double taper_thou(const std::vector<Eigen::Vector2d>& left, const std::vector<Eigen::Vector2d>& right) {
  return 7500 * (slope_of(right) - slope_of(left));
}

bool fit_one(const PhotoScene& scene, double noise_px, Rng& rng, Fit& fit) {
  const PinholeCamera camera(scene.camera);
  std::vector<Correspondence> points;
  for (const Saddle& saddle : sheet_layout(scene.paper).saddles) {
    Correspondence point;
    point.picture_px = camera.pixel_from_bench(bench_from_sheet_point(scene, saddle.at_mm)) +
                       noise_px * Eigen::Vector2d(rng.normal(), rng.normal());
    point.sheet_mm = saddle.at_mm;
    point.block = saddle.block;
    point.row = saddle.row;
    point.column = saddle.column;
    points.push_back(point);
  }
  const CameraFit camera_fit = fit_camera(points, scene.camera.size_px.width, scene.camera.size_px.height);
  if (!camera_fit.good) return false;
  const double half = scene.strips.front().width_mm / 2;
  const auto left = seen_edge(scene, camera, camera_fit.view, -half, 0);
  const auto right = seen_edge(scene, camera, camera_fit.view, half, 0);
  for (std::size_t i = 0; i < left.size(); ++i) {
    const Eigen::Vector2d at(half, -kStripMm / 2 + 0.5 * static_cast<double>(i));
    fit.residual_mm = std::max(
        {fit.residual_mm, (left[i] - Eigen::Vector2d(-at.x(), at.y())).norm(), (right[i] - at).norm()});
  }
  fit.taper_thou = taper_thou(left, right);
  fit.top_thou = taper_thou(seen_edge(scene, camera, camera_fit.view, -half, kThicknessMm),
                            seen_edge(scene, camera, camera_fit.view, half, kThicknessMm));
  fit.parameters = camera_fit.parameters;
  return true;
}

double quantile(std::vector<double> values, double q) {
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(q * static_cast<double>(values.size() - 1) + 0.5)];
}

void print_quantiles(const char* name, const std::vector<const LensRow*>& rows) {
  if (rows.empty()) return;
  std::size_t fits = 0;
  std::printf("%-22s %4zu lenses", name, rows.size());
  for (const auto what : {&Fit::residual_mm, &Fit::taper_thou, &Fit::even_thou}) {
    std::vector<double> all;
    for (const LensRow* row : rows)
      for (const Fit& fit : row->fits) all.push_back(std::abs(fit.*what));
    fits = all.size();
    if (all.empty()) return;
    std::printf("   %7.4f %7.4f %7.4f %7.4f", quantile(all, 0.5), quantile(all, 0.9), quantile(all, 0.99),
                quantile(all, 1));
  }
  std::printf("   (%zu fits)\n", fits);
}

nlohmann::json row_json(const LensRow& row) {
  nlohmann::json fits = nlohmann::json::array();
  for (const Fit& fit : row.fits)
    fits.push_back({{"residual_mm", fit.residual_mm},
                    {"taper_thou", fit.taper_thou},
                    {"top_taper_thou", fit.top_thou},
                    {"even_taper_thou", fit.even_thou},
                    {"parameters", fit.parameters}});
  return {{"index", row.index},
          {"phone", row.lens.phone},
          {"model", kind_name(row.lens.kind)},
          {"terms", row.lens.terms},
          {"focal_35mm", row.lens.focal_mm * row.lens.crop},
          {"corner_distortion", row.distortion},
          {"even_twin_off_px", row.twin_px},
          {"fits", fits}};
}

std::vector<LensRow> fit_all(const std::vector<MeasuredLens>& lenses, const Options& options, int& unusable) {
  std::vector<LensRow> rows;
  for (std::size_t i = 0; i < lenses.size(); ++i) {
    if (!is_usable(lenses[i])) {
      ++unusable;
      std::printf("lens %zu (%s %g %g %g) folds its picture before the corner: left out\n", i,
                  kind_name(lenses[i].kind).c_str(), lenses[i].terms[0], lenses[i].terms[1],
                  lenses[i].terms[2]);
      continue;
    }
    LensRow row;
    row.index = i;
    row.lens = lenses[i];
    const double corner = undistorted_radius(lenses[i], corner_radius(lenses[i]));
    row.distortion = corner_radius(lenses[i]) / corner / (distorted_radius(lenses[i], 1e-6) / 1e-6) - 1;
    const SceneLens lens = scene_lens(lenses[i]);
    const SceneLens twin = even_twin(lens);
    row.twin_px = 2520 * largest_difference(lens, twin);
    Rng rng(stream_seed(options.seed, "lens " + std::to_string(i)));
    for (int k = 0; k < options.poses; ++k) {
      Fit fit;
      PhotoScene scene = posed(lens, rng);
      Fit of_twin;
      bool good = fit_one(scene, options.noise_px, rng, fit);
      use_lens(twin, scene.camera);
      good = fit_one(scene, options.noise_px, rng, of_twin) && good;
      fit.even_thou = of_twin.taper_thou;
      if (good)
        row.fits.push_back(fit);
      else
        ++row.failed;
    }
    rows.push_back(row);
  }
  return rows;
}

void print_table(const std::vector<LensRow>& rows) {
  std::printf("%-34s %-34s %-34s %s\n", "", "residual at the strip, mm", "taper forged, thou over 7.5 in",
              "the same, even powers only");
  std::printf("%-34s %-34s %-34s %s\n", "", "  median   90 %    99 %   worst",
              "  median   90 %    99 %   worst", "  median   90 %    99 %   worst");
  const auto some = [&](const auto& wanted) {
    std::vector<const LensRow*> chosen;
    for (const LensRow& row : rows)
      if (wanted(row)) chosen.push_back(&row);
    return chosen;
  };
  print_quantiles("all", some([](const LensRow&) { return true; }));
  print_quantiles("phones", some([](const LensRow& r) { return r.lens.phone; }));
  print_quantiles("compact cameras", some([](const LensRow& r) { return !r.lens.phone; }));
  for (const auto kind : {LensModelKind::kPoly3, LensModelKind::kPoly5, LensModelKind::kPtlens})
    print_quantiles(kind_name(kind).c_str(), some([&](const LensRow& r) { return r.lens.kind == kind; }));
  for (const double limit : {0.01, 0.03, 1.0})
    print_quantiles(limit == 0.01   ? "distorted below 1 %"
                    : limit == 0.03 ? "1 to 3 %"
                                    : "above 3 %",
                    some([&](const LensRow& r) {
                      const double d = std::abs(r.distortion);
                      return d < limit && d >= (limit == 0.01 ? 0 : limit == 0.03 ? 0.01 : 0.03);
                    }));
}

void print_worst(std::vector<LensRow> rows) {
  constexpr std::size_t kWorst = 10;
  std::sort(rows.begin(), rows.end(), [](const LensRow& a, const LensRow& b) {
    return a.worst(&Fit::taper_thou) > b.worst(&Fit::taper_thou);
  });
  std::printf(
      "\nThe worst by taper: index, model, terms, focal length on 35 mm film, distortion at the corner;\n"
      "residual mm, taper thou over 7.5 in, the same 12 mm up, the same with even powers only\n");
  for (std::size_t i = 0; i < std::min(kWorst, rows.size()); ++i) {
    const LensRow& row = rows[i];
    std::printf("  %3zu %-6s %s (%9.6f %9.6f %9.6f) %5.1f mm %6.2f %%   %.4f  %.3f  %.3f  %.3f\n", row.index,
                kind_name(row.lens.kind).c_str(), row.lens.phone ? "phone  " : "compact", row.lens.terms[0],
                row.lens.terms[1], row.lens.terms[2], row.lens.focal_mm * row.lens.crop, 100 * row.distortion,
                row.worst(&Fit::residual_mm), row.worst(&Fit::taper_thou), row.worst(&Fit::top_thou),
                row.worst(&Fit::even_thou));
  }
}

void print_twins(const std::vector<LensRow>& rows) {
  std::vector<double> off;
  for (const LensRow& row : rows) off.push_back(row.twin_px);
  std::printf(
      "\nEven powers only: a lens with its odd powers taken out is elsewhere by at most (12 megapixels): "
      "median "
      "%.2f, 90 %% %.2f, worst %.2f px\n",
      quantile(off, 0.5), quantile(off, 0.9), quantile(off, 1));
}

void print_rungs(const std::vector<LensRow>& rows) {
  int by_parameters[16] = {0};
  int failed = 0;
  for (const LensRow& row : rows) {
    failed += row.failed;
    for (const Fit& fit : row.fits) ++by_parameters[fit.parameters & 15];
  }
  std::printf("\nparameters that fit_camera chose:");
  for (int p = 8; p <= 12; ++p)
    if (by_parameters[p] > 0) std::printf("  %d: %d", p, by_parameters[p]);
  std::printf("; no fit: %d\n", failed);
}

int run(const Options& options) {
  const auto lenses = read_lenses();
  if (!lenses) {
    std::fprintf(stderr, "%s %s\n", lenses.failure().text.c_str(), lenses.failure().remedy.c_str());
    return 2;
  }
  std::printf("bench_lenses: %zu lenses of %s, %d poses each, saddles off by %g px, --seed %llu\n",
              lenses->size(), kLensPackage, options.poses, options.noise_px,
              static_cast<unsigned long long>(options.seed));
  int unusable = 0;
  const std::vector<LensRow> rows = fit_all(*lenses, options, unusable);
  print_table(rows);
  print_worst(rows);
  print_twins(rows);
  print_rungs(rows);
  if (options.json.empty()) return 0;
  nlohmann::json json = {
      {"schema", "tapersight-bench-lenses-1"}, {"seed", options.seed}, {"poses", options.poses},
      {"noise_px", options.noise_px},          {"left_out", unusable}, {"lenses", nlohmann::json::array()}};
  for (const LensRow& row : rows) json["lenses"].push_back(row_json(row));
  const auto written = write_file_whole(options.json, json.dump(1) + "\n");
  if (!written)
    std::fprintf(stderr, "%s %s\n", written.failure().text.c_str(), written.failure().remedy.c_str());
  return written ? 0 : 2;
}

}  // namespace
}  // namespace tapersight

int main(int argc, char** argv) {
  tapersight::Options options;
  options.seed = std::random_device()();
  for (int i = 1; i + 1 < argc; i += 2) {
    if (std::strcmp(argv[i], "--poses") == 0) options.poses = std::atoi(argv[i + 1]);
    if (std::strcmp(argv[i], "--noise") == 0) options.noise_px = std::atof(argv[i + 1]);
    if (std::strcmp(argv[i], "--seed") == 0) options.seed = std::strtoull(argv[i + 1], nullptr, 10);
    if (std::strcmp(argv[i], "--json") == 0) options.json = argv[i + 1];
  }
  return run(options);
}
