// In the browser: without the libraries that are large there. What is left to the browser's own decoder is
// named so.
#include "formats/bmp.h"
#include "formats/checks.h"
#include "formats/heic.h"
#include "formats/jpeg.h"
#include "formats/known_formats.h"
#include "formats/pdf.h"
#include "formats/png.h"
#include "formats/pnm.h"
#include "formats/tiff.h"
#include "formats/webp.h"

namespace tapersight {
namespace {

Result<FilePicture> not_in_the_browser(const std::string&, const ReadOptions&) {
  return unsupported_picture("is of a kind that this browser does not read");
}

}  // namespace

const std::vector<KnownFormat>& known_formats() {
  static const std::vector<KnownFormat> kFormats{
      {is_jpeg, read_jpeg},          {is_png, read_png}, {is_tiff, read_tiff}, {is_heic, not_in_the_browser},
      {is_webp, not_in_the_browser}, {is_bmp, read_bmp}, {is_pnm, read_pnm},   {is_pdf, not_in_the_browser}};
  return kFormats;
}

}  // namespace tapersight
