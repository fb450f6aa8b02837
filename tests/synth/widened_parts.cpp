#include "synth/widened_parts.h"

#include <algorithm>
#include <cmath>

#include "synth/roughness.h"

namespace tapersight {

double log_uniform(Rng& rng, double low, double high) {
  return low * std::exp(rng.uniform() * std::log(high / low));
}

int sign_of(Rng& rng) {
  return rng.integer(0, 1) == 0 ? -1 : 1;
}

Rng stream(std::uint64_t seed, const char* what) {
  return Rng(stream_seed(stream_seed(seed, "widened"), what));
}

void widen_print(std::uint64_t seed, const WidenedOptions& options, SheetScene& sheet) {
  Rng rng = stream(seed, "print");
  sheet.paper = rng.integer(0, 1) == 0 ? Paper::kA4 : Paper::kLetter;
  // Engines are specified to 2 %, measured within 0.06 to 1 % (laser printer owners' reports, 1988); across
  // better than along, since paper is fed: assumed.
  sheet.print_scale_x = 1 + rng.uniform(-0.006, 0.006);
  sheet.print_scale_y = 1 + rng.uniform(-0.012, 0.012);
  sheet.print_shear = rng.uniform(-0.002, 0.002);  // 0.5 mm over a page: assumed
  sheet.ink_spread_mm = rng.uniform(-0.03, 0.07);  // toner 5 to 15 um in size, ink on plain paper: assumed
  sheet.paper_tone = rng.uniform(0.68, 0.9);       // office paper's diffuse reflectance: assumed
  sheet.ink_tone = log_uniform(rng, 0.015, 0.12);  // density 1.8 to 0.9: assumed

  // Paper across its grain grows by 0.003 to 0.01 % for 1 % of relative humidity (from memory); 8 % between
  // the ends of a page of 280 mm, one of them in a warm fuser longer: 3e-6 per mm.
  rng = stream(seed, "print gradient");
  sheet.print_faults.cross_gradient = options.print_cross_gradient * rng.uniform(-3e-6, 3e-6);

  rng = stream(seed, "print faults");
  const double size = options.print_faults;
  // Colours of one page are allowed to lie 0.1 to 0.2 mm apart (from memory), and paths differ by the like.
  sheet.print_faults.bow_mm = size * rng.uniform(-0.12, 0.12);
  sheet.print_faults.cross_cubic_mm = size * rng.uniform(-0.1, 0.1);
  sheet.print_faults.feed_quadratic_mm = size * rng.uniform(-0.1, 0.1);
  if (size == 0) return;
  // Banding has the periods of gears' teeth and of rollers (You, J. Imaging Sci. Technol. 49, 2005, 635):
  // teeth of module 0.5 to 1 mm, rollers of 12 to 30 mm. Amplitudes: assumed.
  const int teeth = rng.integer(0, 2);
  for (int i = 0; i < teeth; ++i)
    sheet.print_faults.bands.push_back(
        {size * log_uniform(rng, 0.5, 8), log_uniform(rng, 0.8, 4), rng.uniform(0, 2 * M_PI)});
  for (int i = 0; i < 2; ++i)
    sheet.print_faults.bands.push_back(
        {size * log_uniform(rng, 3, 40), rng.uniform(37, 95), rng.uniform(0, 2 * M_PI)});
}

namespace {

void widen_edge(Rng& rng, bool rough, const WidenedOptions& options, EdgeScene& edge) {
  // 3 to 12 um: a fine blade; 20 to 80 um: a coarse one. Sawn beech and spruce have been found at Ra 4 to 25
  // um: from memory. Length: from a tooth's mark (0.05 mm a tooth and fewer) to a board's flutter.
  edge.roughness_um = options.roughness * (rough ? rng.uniform(20, 80) : rng.uniform(3, 12));
  edge.correlation_mm = log_uniform(rng, 0.05, 5);
  edge.gaussian = rng.integer(0, 1) == 1;
  edge.fractal_um = options.fractal * (rough ? log_uniform(rng, 5, 30) : log_uniform(rng, 1, 8));
  edge.fractal_exponent = rng.uniform(0.5, 2);  // pink to brown; no published figure for sawn wood
  edge.fractal_longest_mm = log_uniform(rng, 5, 400);
  // Hand-fed cuts waver by 1 to 10 thou from top to bottom (seen on scans of hand-cut strips): a quarter of
  // that is the rms.
  edge.waver_um = options.waver * (rough ? log_uniform(rng, 6, 65) : log_uniform(rng, 2, 20));
  edge.waver_mm = log_uniform(rng, 5, 30);  // waves of 20 to 130 mm: slower ones are a taper
  // A stop in the feed, the board's end leaving the fence: assumed.
  edge.kink_um = options.kinks * (rng.uniform() < 0.4 ? (rough ? 80 : 20) * rng.uniform(-1, 1) : 0);
  edge.kink_at = rng.uniform(-0.45, 0.45);
  if (!rough) return;
  edge.chips = rng.integer(0, 6);
  edge.chip_depth_mm = log_uniform(rng, 0.1, 1);
  edge.chip_length_mm = log_uniform(rng, 0.5, 8);
}

}  // namespace

void widen_edges(std::uint64_t seed, bool rough, const WidenedOptions& options, StripScene& strip) {
  Rng rng = stream(seed, "left edge");
  widen_edge(rng, rough, options, strip.left);
  rng = stream(seed, "right edge");
  widen_edge(rng, rough, options, strip.right);
  rng = stream(seed, "bow");
  // Strips spring when they are cut off: up to 0.3 mm was seen over 10 in; one side hollow, the other as
  // full.
  const double bow = rough ? log_uniform(rng, 5, 300) : log_uniform(rng, 1, 60);
  strip.left.bow_um = options.bow * sign_of(rng) * bow;
  strip.right.bow_um = -strip.left.bow_um + options.bow * (rough ? 10 : 3) * rng.normal();
  rng = stream(seed, "ends");
  strip.ends.roughness_um = log_uniform(rng, 10, 150);
  if (rough) {
    strip.ends.splinters = rng.integer(0, 5);
    strip.ends.splinter_mm = log_uniform(rng, 0.3, 5);
    strip.ends.tear_um = log_uniform(rng, 30, 500);
  }
}

void widen_figure(std::uint64_t seed, bool rough, const WidenedOptions& options, WoodScene& wood) {
  Rng rng = stream(seed, "figure");
  wood.grain_contrast = options.figure * (rough ? log_uniform(rng, 0.05, 0.5) : log_uniform(rng, 0.03, 0.3));
  wood.tone_drift = rng.uniform(-0.25, 0.25);  // heartwood to sapwood: assumed
  wood.ring_mm = log_uniform(rng, 0.5, 8);     // slow spruce to fast pine, cut aslant: assumed
  // Tracheids are 20 to 60 um thick (Rivers and Umney, Conservation of Furniture, 2003) and some mm long,
  // vessels of oak to 0.4 mm: from memory. What they show together runs further.
  wood.fibre_mm = log_uniform(rng, 0.02, 0.5);
  wood.fibre_length_mm = log_uniform(rng, 3, 120);
  wood.grain_slope = 0.03 * rng.normal();  // sound boards run out by 1 in 15 to 1 in 20: from memory
  wood.grain_wave_mm = log_uniform(rng, 0.05, 1.5);
  wood.saw_contrast = options.figure * rng.uniform(0, rough ? 0.08 : 0.03);
  wood.saw_period_mm = log_uniform(rng, 0.3, 5);  // feed a revolution or a tooth: assumed
  if (!rough) return;
  wood.dark_lines = rng.integer(0, 3);
  wood.dark_line_contrast = options.figure * rng.uniform(0.2, 0.9);
  for (int i = rng.integer(0, 2); i > 0; --i)
    wood.burns.push_back({rng.integer(0, 1) == 0 ? StripSide::kLeft : StripSide::kRight,
                          rng.uniform(-100, 100), log_uniform(rng, 4, 40), log_uniform(rng, 0.3, 4),
                          options.figure * rng.uniform(0.1, 0.6)});
}

void widen_psf(std::uint64_t seed, const WidenedOptions& options, PsfScene& psf) {
  if (!options.psf) return;
  Rng rng = stream(seed, "psf");
  const Psf shapes[] = {Psf::kGaussian, Psf::kBox, Psf::kDisc, Psf::kTent, Psf::kLongTail, Psf::kLongTail};
  psf.shape = shapes[rng.integer(0, 5)];
  // Stray light of lenses is 1 to 5 % of a picture's mean (veiling glare by ISO 9358's method: from memory);
  // a dirty glass plate more.
  psf.tail_share = log_uniform(rng, 0.01, 0.1);
  psf.tail_px = log_uniform(rng, 2, 12);
}

EncodingScene::Chroma any_chroma(Rng& rng) {
  using Chroma = EncodingScene::Chroma;
  const Chroma all[] = {Chroma::k444, Chroma::k422, Chroma::k420};
  return all[rng.integer(0, 2)];
}

void widen_tone(std::uint64_t seed, const WidenedOptions& options, EncodingScene& encoding) {
  if (!options.tone) return;
  Rng rng = stream(seed, "tone");
  if (rng.uniform() < 0.4) {
    encoding.transfer = EncodingScene::Transfer::kGamma;
    encoding.gamma = rng.uniform(1.8, 2.4);  // the displays of both old worlds
  }
  // What drivers and phones do beyond the standards: assumed.
  encoding.s_curve = rng.uniform() < 0.6 ? rng.uniform(-0.3, 0.6) : 0;
  encoding.mid_lift = rng.uniform() < 0.4 ? rng.uniform(-0.08, 0.08) : 0;
  if (rng.uniform() < 0.4) encoding.black_code = rng.uniform(0, 0.08);
}

}  // namespace tapersight
