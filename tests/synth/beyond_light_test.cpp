// Blur, sharpening, tone and JPEG beyond a Gaussian in sRGB.
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/core.hpp>
#include <opencv2/imgcodecs.hpp>

#include "synth/blur.h"
#include "synth/jpeg_bytes.h"
#include "synth/sensor.h"
#include "synth/sharpen.h"

namespace tapersight {
namespace {

// Light 0 left of column 50 and 1 from there on, blurred.
std::vector<double> edge_spread(const PsfScene& psf, double sd_px) {
  cv::Mat light(101, 401, CV_32FC1, cv::Scalar(0));
  light.colRange(200, 401).setTo(1);
  blur(psf, sd_px, light);
  std::vector<double> profile;
  for (int c = 0; c < light.cols; ++c) profile.push_back(static_cast<double>(light.at<float>(50, c)));
  return profile;
}

// Standard deviation of the line-spread function.
double spread(const std::vector<double>& edge) {
  double square = 0;
  for (std::size_t c = 1; c < edge.size(); ++c)
    square += (edge[c] - edge[c - 1]) * std::pow(static_cast<double>(c) - 200, 2);
  return std::sqrt(square);
}

TEST(BeyondLight, AllShapesSpreadAnEdgeEquallyFar) {
  for (const Psf shape : {Psf::kGaussian, Psf::kBox, Psf::kDisc, Psf::kTent})
    for (const double sd : {0.6, 1.0, 2.2}) EXPECT_NEAR(spread(edge_spread({shape}, sd)), sd, 0.02 * sd);
}

TEST(BeyondLight, ShapesDifferInTheirTails) {
  const auto beyond = [](const std::vector<double>& edge, int px) {
    return edge[static_cast<std::size_t>(200 - px)];
  };
  const double sd = 2;
  EXPECT_NEAR(beyond(edge_spread({Psf::kGaussian}, sd), 5), 0.5 * std::erfc(4.5 / sd / std::sqrt(2.0)), 1e-3);
  EXPECT_EQ(beyond(edge_spread({Psf::kBox}, sd), 5), 0);      // reaches sqrt(3) sd
  EXPECT_LT(beyond(edge_spread({Psf::kDisc}, sd), 5), 1e-6);  // 2 sd
  EXPECT_GT(beyond(edge_spread({Psf::kTent}, sd), 4), 1e-4);  // sqrt(6) sd
  EXPECT_LT(beyond(edge_spread({Psf::kTent}, sd), 6), 1e-6);
  // The halo: 8 % of the light, half of it 5 px wide and half 15: far out an eighth of that half's tail is
  // left.
  const double halo = beyond(edge_spread({Psf::kLongTail, 0.08, 5}, sd), 20);
  EXPECT_NEAR(halo, 0.04 * 0.5 * std::erfc(19.5 / 15 / std::sqrt(2.0)), 4e-4);
}

TEST(BeyondLight, SharpeningOvershootsButSparesWhatIsFaint) {
  cv::Mat codes(60, 200, CV_8UC1, cv::Scalar(100));
  codes.colRange(100, 200).setTo(160);
  codes.col(30).setTo(103);
  cv::Mat sharpened = codes.clone();
  sharpen(SharpenScene{0.8, 2, 4}, sharpened);
  EXPECT_GT(sharpened.at<uchar>(30, 101), 165);
  EXPECT_LT(sharpened.at<uchar>(30, 98), 95);
  EXPECT_EQ(sharpened.at<uchar>(30, 30), 103);
  sharpen(SharpenScene{0.8, 2, 0}, codes);
  EXPECT_GT(codes.at<uchar>(30, 30), 103);
}

TEST(BeyondLight, ToneCurvesDoAsTheySay) {
  EncodingScene encoding;
  encoding.transfer = EncodingScene::Transfer::kLinear;
  encoding.mid_lift = 0.06;
  EXPECT_NEAR(code_of_light(encoding, 0.5), 255 * 0.56, 1e-9);
  EXPECT_NEAR(code_of_light(encoding, 1), 255, 1e-9);
  encoding = {};
  encoding.transfer = EncodingScene::Transfer::kLinear;
  encoding.black_code = 0.1;
  encoding.white_code = 0.9;
  EXPECT_EQ(code_of_light(encoding, 0.05), 0);
  EXPECT_NEAR(code_of_light(encoding, 0.5), 127.5, 1e-9);
  EXPECT_EQ(code_of_light(encoding, 0.95), 255);
}

TEST(BeyondLight, ToneCurvesComeBack) {
  EncodingScene encoding;
  encoding.s_curve = 0.4;
  encoding.mid_lift = -0.07;
  encoding.black_code = 0.05;
  encoding.white_code = 0.97;
  for (const double light : {0.05, 0.3, 0.7}) {
    const double code = code_of_light(encoding, light);
    EXPECT_NEAR(light_of_code(encoding, code), light, 1e-9);
  }
}

// Sampling factors of the first component in the frame header (ITU-T T.81, B.2.2).
int sampling_of(const std::vector<unsigned char>& jpeg) {
  for (std::size_t i = 2; i + 12 < jpeg.size();) {
    if (jpeg[i + 1] == 0xc0) return jpeg[i + 11];
    i += 2 + 256U * jpeg[i + 2] + jpeg[i + 3];
  }
  return 0;
}

TEST(BeyondLight, ChromaIsKeptAsAsked) {
  cv::Mat stripes(64, 64, CV_8UC3, cv::Scalar(60, 60, 200));
  for (int c = 0; c < 64; c += 2) stripes.col(c).setTo(cv::Scalar(60, 137, 60));  // nearly as bright
  const auto redness = [&](EncodingScene::Chroma chroma, int sampling) {
    const auto bytes = jpeg_bytes(stripes, 95, chroma);
    EXPECT_EQ(sampling_of(bytes), sampling);
    const cv::Mat back = cv::imdecode(bytes, cv::IMREAD_COLOR);
    return std::abs(back.at<cv::Vec3b>(32, 33)[2] - back.at<cv::Vec3b>(32, 32)[2]);
  };
  EXPECT_GT(redness(EncodingScene::Chroma::k444, 0x11), 110);
  EXPECT_LT(redness(EncodingScene::Chroma::k422, 0x21), 40);
  EXPECT_LT(redness(EncodingScene::Chroma::k420, 0x22), 40);
  EXPECT_EQ(jpeg_bytes(stripes, 95, EncodingScene::Chroma::kEncoders), [&] {
    std::vector<unsigned char> bytes;
    cv::imencode(".jpg", stripes, bytes, {cv::IMWRITE_JPEG_QUALITY, 95});
    return bytes;
  }());
}

}  // namespace
}  // namespace tapersight
