#include "imaging/jpeg_file.h"

// libjpeg's header needs the standard types first.
#include <csetjmp>
#include <cstdio>
#include <cstdlib>

#include <jpeglib.h>

namespace tapersight {
namespace {

struct Writer {
  jpeg_compress_struct info{};
  jpeg_error_mgr errors{};
  std::jmp_buf escape;
  unsigned char* bytes = nullptr;
  unsigned long size = 0;

  ~Writer() {
    jpeg_destroy_compress(&info);
    std::free(bytes);  // made by libjpeg
  }
};

[[noreturn]] void leave(j_common_ptr info) {
  std::longjmp(static_cast<Writer*>(info->client_data)->escape, 1);
}

// setjmp needs a frame of its own without destructors.
bool encode(Writer& w, const cv::Mat& pixels, int quality) {
  w.info.err = jpeg_std_error(&w.errors);
  w.errors.error_exit = leave;
  w.info.client_data = &w;
  if (setjmp(w.escape)) return false;
  jpeg_create_compress(&w.info);
  jpeg_mem_dest(&w.info, &w.bytes, &w.size);
  w.info.image_width = static_cast<JDIMENSION>(pixels.cols);
  w.info.image_height = static_cast<JDIMENSION>(pixels.rows);
  w.info.input_components = pixels.channels();
  w.info.in_color_space = pixels.channels() == 3 ? JCS_EXT_BGR : JCS_GRAYSCALE;
  jpeg_set_defaults(&w.info);
  jpeg_set_quality(&w.info, quality, TRUE);
  w.info.optimize_coding = TRUE;
  jpeg_start_compress(&w.info, TRUE);
  for (int y = 0; y < pixels.rows; ++y) {
    auto* row = const_cast<JSAMPROW>(pixels.ptr<JSAMPLE>(y));  // libjpeg's interface; it only reads
    jpeg_write_scanlines(&w.info, &row, 1);
  }
  jpeg_finish_compress(&w.info);
  return true;
}

}  // namespace

Result<std::string> encode_jpeg(const cv::Mat& pixels, int quality) {
  Writer writer;
  if (!encode(writer, pixels, quality))
    return Failure{"jpeg-not-written", "The JPEG picture could not be made.", "Try again without it."};
  return std::string(reinterpret_cast<const char*>(writer.bytes), writer.size);
}

}  // namespace tapersight
