#include "synth/jpeg_bytes.h"

#include <jpeglib.h>
#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

namespace tapersight {
namespace {

// ITU-T T.81, A.1.1: sampling factors of brightness; those of both colours are 1.
void set_sampling(jpeg_compress_struct& jpeg, EncodingScene::Chroma chroma) {
  jpeg.comp_info[0].h_samp_factor = chroma == EncodingScene::Chroma::k444 ? 1 : 2;
  jpeg.comp_info[0].v_samp_factor = chroma == EncodingScene::Chroma::k420 ? 2 : 1;
}

}  // namespace

std::vector<unsigned char> jpeg_bytes(const cv::Mat& image, int quality, EncodingScene::Chroma chroma) {
  std::vector<unsigned char> bytes;
  if (chroma == EncodingScene::Chroma::kEncoders || image.channels() == 1) {
    cv::imencode(".jpg", image, bytes, {cv::IMWRITE_JPEG_QUALITY, quality});
    return bytes;
  }
  cv::Mat rgb;
  cv::cvtColor(image, rgb, cv::COLOR_BGR2RGB);
  jpeg_compress_struct jpeg;
  jpeg_error_mgr errors;
  jpeg.err = jpeg_std_error(&errors);  // a picture that cannot be written ends the test program
  jpeg_create_compress(&jpeg);
  unsigned char* data = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&jpeg, &data, &size);
  jpeg.image_width = static_cast<JDIMENSION>(rgb.cols);
  jpeg.image_height = static_cast<JDIMENSION>(rgb.rows);
  jpeg.input_components = 3;
  jpeg.in_color_space = JCS_RGB;
  jpeg_set_defaults(&jpeg);
  jpeg_set_quality(&jpeg, quality, TRUE);
  set_sampling(jpeg, chroma);
  jpeg_start_compress(&jpeg, TRUE);
  for (int r = 0; r < rgb.rows; ++r) {
    JSAMPROW row = rgb.ptr(r);
    jpeg_write_scanlines(&jpeg, &row, 1);
  }
  jpeg_finish_compress(&jpeg);
  bytes.assign(data, data + size);
  jpeg_destroy_compress(&jpeg);
  std::free(data);
  return bytes;
}

}  // namespace tapersight
