#include "formats/known_formats.h"

#include "formats/bmp.h"
#include "formats/heic.h"
#include "formats/jpeg.h"
#include "formats/pdf.h"
#include "formats/png.h"
#include "formats/pnm.h"
#include "formats/tiff.h"
#include "formats/webp.h"

namespace tapersight {

const std::vector<KnownFormat>& known_formats() {
  static const std::vector<KnownFormat> kFormats{
      {is_jpeg, read_jpeg}, {is_png, read_png}, {is_tiff, read_tiff}, {is_heic, read_heic},
      {is_webp, read_webp}, {is_bmp, read_bmp}, {is_pnm, read_pnm},   {is_pdf, read_pdf}};
  return kFormats;
}

}  // namespace tapersight
