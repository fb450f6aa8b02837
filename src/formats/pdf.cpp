#include "formats/pdf.h"

#include <algorithm>
#include <cmath>
#include <exception>
#include <limits>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFExc.hh>

#include "formats/checks.h"
#include "formats/inflate.h"
#include "formats/jpeg.h"
#include "formats/pdf_pages.h"
#include "formats/pdf_place.h"
#include "formats/pdf_structure.h"
#include "formats/png.h"
#include "formats/tiff.h"
#include "formats/turn.h"
#include "formats/wrapped.h"

namespace tapersight {
namespace {

Failure unsupported_pdf() {
  return {"picture-not-supported", "is a PDF whose page is not one plain picture.",
          "Set the scanner to plain PDF (not compact, no text recognition) or to JPEG."};
}

struct Described {
  BarePicture picture;
  bool turned_over = false;  // /Decode turns light and dark over
};

double number_of(QPDFObjectHandle dict, const char* key, double otherwise) {
  QPDFObjectHandle value = dict.isDictionary() ? dict.getKey(key) : QPDFObjectHandle::newNull();
  return value.isNumber() ? value.getNumericValue() : otherwise;
}

// 0 for what is no number of bits or samples.
int small_number_of(QPDFObjectHandle dict, const char* key, int otherwise) {
  const double value = number_of(dict, key, otherwise);
  return value >= 0 && value <= 64 ? static_cast<int>(value) : 0;
}

bool is_true(QPDFObjectHandle dict, const char* key) {
  QPDFObjectHandle value = dict.isDictionary() ? dict.getKey(key) : QPDFObjectHandle::newNull();
  return value.isBool() && value.getBoolValue();
}

// Samples a pixel, 0 where the colours are of no plain kind.
int samples_of(QPDFObjectHandle space) {
  if (space.isArray() && space.getArrayNItems() == 1) space = space.getArrayItem(0);
  const std::string name = space.isName() ? space.getName() : std::string();
  if (name == "/DeviceGray" || name == "/CalGray" || name == "/G") return 1;
  if (name == "/DeviceRGB" || name == "/CalRGB" || name == "/RGB") return 3;
  if (name == "/DeviceCMYK" || name == "/CMYK") return 4;
  if (!space.isArray() || space.getArrayNItems() < 2 || !space.getArrayItem(0).isName()) return 0;
  const std::string kind = space.getArrayItem(0).getName();
  if (kind == "/CalGray") return 1;
  if (kind == "/CalRGB") return 3;
  if (kind != "/ICCBased" || !space.getArrayItem(1).isStream()) return 0;
  const int n = small_number_of(space.getArrayItem(1).getDict(), "/N", 0);
  return n == 1 || n == 3 || n == 4 ? n : 0;
}

// Red, green and blue of an indexed colour space; nothing when it is none or of no plain kind.
std::string palette_of(QPDFObjectHandle space) {
  if (!space.isArray() || space.getArrayNItems() != 4 || !space.getArrayItem(0).isName() ||
      space.getArrayItem(0).getName() != "/Indexed")
    return {};
  const int samples = samples_of(space.getArrayItem(1));
  QPDFObjectHandle table = space.getArrayItem(3);
  std::string bytes;
  if (table.isString()) bytes = table.getStringValue();
  if (table.isStream() && table.getDict().getKey("/Filter").isNull()) {
    const auto raw = table.getRawStreamData();
    bytes.assign(reinterpret_cast<const char*>(raw->getBuffer()), raw->getSize());
  }
  if (bytes.size() > 3 * 256) bytes.resize(3 * 256);
  if (samples == 3) return bytes.substr(0, bytes.size() / 3 * 3);
  if (samples != 1) return {};
  std::string grey;
  for (const char c : bytes.substr(0, 256)) grey += std::string(3, c);
  return grey;
}

bool decode_is_turned(QPDFObjectHandle dict) {
  QPDFObjectHandle decode = dict.getKey("/Decode");
  return decode.isArray() && decode.getArrayNItems() >= 2 && decode.getArrayItem(0).isNumber() &&
         decode.getArrayItem(0).getNumericValue() > 0.5;
}

Result<Described> describe(QPDFObjectHandle dict) {
  const double width = number_of(dict, "/Width", 0);
  const double height = number_of(dict, "/Height", 0);
  constexpr double kMostSide = 1e6;
  if (!(width >= 1 && width <= kMostSide && height >= 1 && height <= kMostSide)) return damaged_picture();
  if (dict.hasKey("/SMask")) return unsupported_pdf();
  Described d;
  d.picture.width = static_cast<std::uint32_t>(width);
  d.picture.height = static_cast<std::uint32_t>(height);
  d.turned_over = decode_is_turned(dict);
  if (is_true(dict, "/ImageMask")) {
    d.picture.bits = 1;
    return d;
  }
  d.picture.bits = small_number_of(dict, "/BitsPerComponent", 8);
  d.picture.palette = palette_of(dict.getKey("/ColorSpace"));
  d.picture.samples = d.picture.palette.empty() ? samples_of(dict.getKey("/ColorSpace")) : 1;
  const int bits = d.picture.bits;
  if (d.picture.samples == 0 || !(bits == 1 || bits == 2 || bits == 4 || bits == 8 || bits == 16))
    return unsupported_pdf();
  return d;
}

// A filter and its parameters.
struct Filter {
  std::string name;
  QPDFObjectHandle parameters = QPDFObjectHandle::newNull();
};

std::vector<Filter> filters_of(QPDFObjectHandle dict) {
  QPDFObjectHandle names = dict.getKey("/Filter");
  QPDFObjectHandle parameters = dict.getKey("/DecodeParms");
  std::vector<Filter> filters;
  if (names.isName()) filters.push_back({names.getName(), parameters});
  for (int i = 0; names.isArray() && i < std::min(names.getArrayNItems(), 8); ++i) {
    if (names.getArrayItem(i).isName()) filters.push_back({names.getArrayItem(i).getName()});
    if (!filters.empty() && parameters.isArray() && i < parameters.getArrayNItems())
      filters.back().parameters = parameters.getArrayItem(i);
    else if (!filters.empty() && parameters.isDictionary() && names.getArrayNItems() == 1)
      filters.back().parameters = parameters;
  }
  return filters;
}

Result<FilePicture> read_fax(const BarePicture& picture, const Filter& filter, const std::string& data,
                             const ReadOptions& options) {
  BarePicture fax = picture;
  if (picture.bits != 1 || picture.samples != 1 || is_true(filter.parameters, "/EncodedByteAlign") ||
      number_of(filter.parameters, "/Columns", 1728) != picture.width)
    return unsupported_pdf();
  fax.turned_over = picture.turned_over != is_true(filter.parameters, "/BlackIs1");
  const double k = number_of(filter.parameters, "/K", 0);
  const Packing packing = k < 0 ? Packing::kFaxG4 : k > 0 ? Packing::kFaxG3TwoWay : Packing::kFaxG3;
  return read_tiff(tiff_around(fax, packing, false, data), options);
}

Result<FilePicture> read_bare(const BarePicture& picture, const Filter& filter, const std::string& data,
                              const ReadOptions& options) {
  const double predictor = number_of(filter.parameters, "/Predictor", 1);
  if (predictor > 1 && (number_of(filter.parameters, "/Columns", 1) != picture.width ||
                        number_of(filter.parameters, "/Colors", 1) != picture.samples ||
                        number_of(filter.parameters, "/BitsPerComponent", 8) != picture.bits))
    return unsupported_pdf();
  if (filter.name == "/FlateDecode" && predictor >= 10) {
    if (picture.samples == 4) return unsupported_pdf();
    auto read = read_png(png_around(picture, data), options);
    if (read && picture.turned_over) cv::bitwise_not(read->grey, read->grey);
    return read;
  }
  const Packing packing = filter.name == "/FlateDecode" ? Packing::kDeflate
                          : filter.name == "/LZWDecode" ? Packing::kLzw
                                                        : Packing::kNone;
  return read_tiff(tiff_around(picture, packing, predictor == 2, data), options);
}

Result<FilePicture> read_image(QPDFObjectHandle image, const ReadOptions& options) {
  const auto described = describe(image.getDict());
  if (!described) return described.failure();
  const double pixels = double{1} * described->picture.width * described->picture.height;
  if (auto failure = check_size(described->picture.width, described->picture.height, pixels, options.limits))
    return *failure;
  const auto raw = image.getRawStreamData();
  std::string data(reinterpret_cast<const char*>(raw->getBuffer()), raw->getSize());
  std::vector<Filter> filters = filters_of(image.getDict());
  if (filters.size() == 2 && filters[0].name == "/FlateDecode") {  // some pack their JPEGs once more
    auto inner = inflate_at_most(data, options.limits.most_file_bytes);
    if (!inner) return damaged_picture();
    data = std::move(*inner);
    filters.erase(filters.begin());
  }
  if (filters.size() > 1 || data.size() > std::numeric_limits<std::uint32_t>::max() / 2)
    return unsupported_pdf();
  const Filter filter = filters.empty() ? Filter{} : filters.front();
  BarePicture picture = described->picture;
  if (filter.name == "/DCTDecode") {
    auto jpeg = read_jpeg_in_pdf(data, options, described->turned_over);
    if (jpeg && described->turned_over && picture.samples != 4) cv::bitwise_not(jpeg->grey, jpeg->grey);
    return jpeg;
  }
  picture.turned_over = described->turned_over;
  if (described->turned_over && picture.samples > 1) return unsupported_pdf();
  if (filter.name == "/CCITTFaxDecode") return read_fax(picture, filter, data, options);
  if (filter.name == "/FlateDecode" || filter.name == "/LZWDecode" || filter.name.empty())
    return read_bare(picture, filter, data, options);
  return unsupported_pdf();
}

// The picture that is the page: what else is there may cover a tenth of it.
const PlacedPicture* only_picture(const std::vector<PlacedPicture>& placed) {
  const PlacedPicture* largest = nullptr;
  double all = 0;
  for (const PlacedPicture& picture : placed) {
    all += picture.area();
    if (!largest || picture.area() > largest->area()) largest = &picture;
  }
  return largest && largest->area() > 0 && all <= 1.1 * largest->area() ? largest : nullptr;
}

Result<FilePicture> read_opened(QPDF& pdf, const ReadOptions& options) {
  const std::vector<QPDFObjectHandle> pages = pages_of(pdf);
  const auto page = page_to_read(options.page, static_cast<int>(std::min<std::size_t>(pages.size(), 100000)));
  if (!page) return page.failure();
  const auto placed = placed_pictures(pdf, pages[static_cast<std::size_t>(*page)]);
  const PlacedPicture* shown = only_picture(placed);
  if (!shown) return unsupported_pdf();
  ReadOptions inside = options;
  inside.page.reset();
  auto picture = read_image(shown->image, inside);
  if (!picture) return picture.failure();
  constexpr double kPointsPerInch = 72;
  const double inches_right = std::hypot(shown->right_x, shown->right_y) / kPointsPerInch;
  const double inches_up = std::hypot(shown->up_x, shown->up_y) / kPointsPerInch;
  picture->dpi = Dpi{picture->grey.cols / inches_right, picture->grey.rows / inches_up};
  return turned_upright(std::move(*picture), shown->orientation());
}

}  // namespace

Result<FilePicture> read_pdf(const std::string& bytes, const ReadOptions& options) {
  if (!structure_is_small(bytes)) return unsupported_pdf();
  try {
    QPDF pdf;
    pdf.setSuppressWarnings(true);
    pdf.setAttemptRecovery(false);  // what is cut off is not to be guessed
    pdf.processMemoryFile("picture", bytes.data(), bytes.size());
    return read_opened(pdf, options);
  } catch (const QPDFExc& error) {
    return error.getErrorCode() == qpdf_e_password ? unsupported_picture("is a PDF that needs a password")
                                                   : damaged_picture();
  } catch (const std::exception&) {
    return damaged_picture();
  }
}

}  // namespace tapersight
