// The same picture written as every kind of file, by the formats' own libraries or by hand.
#pragma once
#include <functional>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

namespace tapersight::testing {

// What is the same for all kinds.
struct FileMaking {
  int dpi = 300;         // 0: none stated
  int orientation = 1;   // as EXIF numbers it, where the format can say it
  bool exposed = false;  // EXIF notes an exposure of 1/60 s
};

struct MadeKind {
  std::string name;  // "jpeg-progressive"
  int grey_steps;    // how far a code value may be off, 255 for a picture of two tones
  bool states_dpi;
  bool can_turn;  // says an orientation
  std::function<std::string(const cv::Mat& grey, const FileMaking& making)> make;
};

// All kinds that are to be read. `grey` is CV_8UC1.
const std::vector<MadeKind>& made_kinds();
const MadeKind& made_kind(const std::string& name);

// A PDF of pages that each show one picture object over `width_pt` x `height_pt`; `dictionary` is the image's
// without /Width, /Height and /Length. With cross-reference table.
struct PdfPage {
  std::string dictionary, data;
  int width_px = 0, height_px = 0;
  double width_pt = 0, height_pt = 0;
  int rotate = 0;
  std::string more_content;  // drawn as well
  std::string entries = "";  // of the page's dictionary, in the place of /Rotate
};
std::string made_pdf(const std::vector<PdfPage>& pages);

std::string made_jpeg(const cv::Mat& grey, const FileMaking& making, const std::string& kind);
std::string deflated(const std::string& bytes);
std::string png_chunk(const std::string& kind, const std::string& body);
std::string big_endian(unsigned value, int bytes);
std::string little_endian(unsigned value, int bytes);
std::string exif_block(const FileMaking& making);  // from its byte order mark on

// TIFF whose pages are `count` times the picture.
std::string made_tiff(const cv::Mat& grey, const FileMaking& making, const std::string& kind, int count = 1);

}  // namespace tapersight::testing
