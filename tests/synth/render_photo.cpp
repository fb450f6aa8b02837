#include "synth/render_photo.h"

#include <opencv2/imgcodecs.hpp>
#include <utility>

#include "synth/phone.h"
#include "synth/photo_ground.h"
#include "synth/photo_strip.h"
#include "synth/roughness.h"
#include "synth/sensor.h"
#include "synth/sharpen.h"

namespace tapersight {

cv::Mat render_photo_light(const PhotoScene& scene, const PhotoTruth& truth) {
  cv::Mat light(truth.camera.size_px(), scene.encoding.colour ? CV_32FC3 : CV_32FC1);
  paint_bench_and_sheet(scene, truth, light);
  shade_ground(scene, truth, light);
  add_sheet_glare(scene, truth, light);
  for (std::size_t i = 0; i < scene.strips.size(); ++i) paint_photo_strip(scene, truth, i, light);
  phone_light_and_blur(scene, light);
  return light;
}

RenderedPhoto render_photo(const PhotoScene& scene) {
  PhotoTruth truth = make_photo_truth(scene);
  cv::Mat light = render_photo_light(scene, truth);
  add_signal_noise(scene.phone.noise_a, scene.phone.noise_b, scene.encoding.exposure,
                   stream_seed(scene.seed, "signal noise"), light);
  cv::Mat image = encode(light, scene.encoding, scene.phone.noise_levels, stream_seed(scene.seed, "noise"));
  sharpen(scene.phone.sharpen, scene.phone.sharpen_radius_px, image);
  std::vector<unsigned char> jpeg;
  if (scene.encoding.jpeg_quality > 0) {
    jpeg = photo_file_bytes(image, scene.encoding.jpeg_quality, scene.phone.exif_orientation,
                            scene.encoding.chroma);
    image = cv::imdecode(jpeg, scene.encoding.colour ? cv::IMREAD_COLOR : cv::IMREAD_GRAYSCALE);
  }
  return {image, std::move(jpeg), std::move(truth)};
}

}  // namespace tapersight
