#include "support/made_files.h"

// libjpeg's header needs the standard types first.
#include <cmath>
#include <cstdio>
#include <cstring>
#include <memory>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <stdexcept>

#include <jpeglib.h>
#include <libheif/heif.h>
#include <png.h>
#include <tiffio.h>
#include <webp/encode.h>
#include <webp/mux.h>
#include <zlib.h>
#include <sstream>
#include <tiffio.hxx>

#include "base/files.h"
#include "support/temp_dir.h"

namespace tapersight::testing {
namespace {

using Bytes = std::vector<unsigned char>;

// Three or four equal channels.
cv::Mat coloured(const cv::Mat& grey, int channels) {
  std::vector<cv::Mat> planes(static_cast<std::size_t>(channels), grey);
  if (channels == 4) planes[3] = cv::Mat(grey.size(), CV_8UC1, cv::Scalar(255));
  cv::Mat out;
  cv::merge(planes, out);
  return out;
}

cv::Mat two_tones(const cv::Mat& grey) {
  cv::Mat out;
  cv::threshold(grey, out, 127, 255, cv::THRESH_BINARY);
  return out;
}

// Rows of samples of `bits`, each row filled up to a byte; of 16 bits the high byte first unless told.
std::string packed_rows(const cv::Mat& grey, int bits, bool high_first = true) {
  std::string out;
  for (int y = 0; y < grey.rows; ++y) {
    unsigned held = 0;
    int count = 0;
    for (int x = 0; x < grey.cols; ++x) {
      const unsigned code = grey.at<uchar>(y, x);
      if (bits == 16) {  // the low byte is not that of 257 * code, but rounds back to it
        const unsigned wide = code * 257;
        out += static_cast<char>(high_first ? wide >> 8 : wide & 255);
        out += static_cast<char>(high_first ? wide & 255 : wide >> 8);
        continue;
      }
      held = held << bits | (code * ((1U << bits) - 1) + 127) / 255;
      if ((count += bits) == 8) out += static_cast<char>(held), held = 0, count = 0;
    }
    if (count > 0) out += static_cast<char>(held << (8 - count));
  }
  return out;
}

std::string with_filter_bytes(const std::string& rows, int height) {
  std::string out;
  const std::size_t step = rows.size() / static_cast<std::size_t>(height);
  for (std::size_t y = 0; y < static_cast<std::size_t>(height); ++y)
    out += '\0' + rows.substr(y * step, step);
  return out;
}

std::string rows_of(const cv::Mat& any) {
  const cv::Mat whole = any.isContinuous() ? any : any.clone();
  return {reinterpret_cast<const char*>(whole.data), whole.total() * whole.elemSize()};
}

std::string phys(const FileMaking& making) {
  const auto per_metre = static_cast<unsigned>(std::lround(making.dpi / 0.0254));
  return making.dpi > 0
             ? png_chunk("pHYs", big_endian(per_metre, 4) + big_endian(per_metre, 4) + std::string(1, '\1'))
             : std::string();
}

std::string png_file(const cv::Mat& size, int bits, int type, const std::string& rows,
                     const FileMaking& making, const std::string& palette = {}) {
  std::string out = "\x89PNG\r\n\x1a\n";
  out += png_chunk("IHDR", big_endian(static_cast<unsigned>(size.cols), 4) +
                               big_endian(static_cast<unsigned>(size.rows), 4) + static_cast<char>(bits) +
                               static_cast<char>(type) + std::string(3, '\0'));
  out += phys(making);
  if (making.orientation != 1 || making.exposed) out += png_chunk("eXIf", exif_block(making));
  if (!palette.empty()) out += png_chunk("PLTE", palette);
  return out + png_chunk("IDAT", deflated(with_filter_bytes(rows, size.rows))) + png_chunk("IEND", "");
}

void append_png(png_structp png, png_bytep data, png_size_t length) {
  static_cast<std::string*>(png_get_io_ptr(png))->append(reinterpret_cast<const char*>(data), length);
}
void no_flush(png_structp /*png*/) {}

std::string interlaced_png(const cv::Mat& grey, const FileMaking& making) {
  std::string out;
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png_create_info_struct(png);
  png_set_write_fn(png, &out, append_png, no_flush);
  png_set_IHDR(png, info, static_cast<unsigned>(grey.cols), static_cast<unsigned>(grey.rows), 8,
               PNG_COLOR_TYPE_RGB, PNG_INTERLACE_ADAM7, 0, 0);
  const auto per_metre = static_cast<unsigned>(std::lround(making.dpi / 0.0254));
  if (making.dpi > 0) png_set_pHYs(png, info, per_metre, per_metre, PNG_RESOLUTION_METER);
  png_write_info(png, info);
  const cv::Mat rgb = coloured(grey, 3);
  std::vector<png_bytep> rows;
  for (int y = 0; y < rgb.rows; ++y) rows.push_back(const_cast<png_bytep>(rgb.ptr(y)));
  png_write_image(png, rows.data());
  png_write_end(png, nullptr);
  png_destroy_write_struct(&png, &info);
  return out;
}

MadeKind png_kind(const std::string& name, int bits, int type) {
  const int steps = bits >= 8 ? 0 : bits == 4 ? 9 : bits == 2 ? 43 : 255;
  return {name, steps, true, true, [bits, type](const cv::Mat& grey, const FileMaking& making) {
            if (type == PNG_COLOR_TYPE_PALETTE) {
              std::string palette;  // turned over, so that an index is no grey
              for (int i = 255; i >= 0; --i) palette += std::string(3, static_cast<char>(i));
              return png_file(grey, bits, type, rows_of(255 - grey), making, palette);
            }
            const int channels = type == PNG_COLOR_TYPE_RGB          ? 3
                                 : type == PNG_COLOR_TYPE_RGB_ALPHA  ? 4
                                 : type == PNG_COLOR_TYPE_GRAY_ALPHA ? 2
                                                                     : 1;
            cv::Mat all = grey;
            if (channels == 2)
              cv::merge(std::vector<cv::Mat>{grey, cv::Mat(grey.size(), CV_8UC1, cv::Scalar(255))}, all);
            if (channels > 2) all = coloured(grey, channels);
            const cv::Mat wide = all.reshape(1, grey.rows);
            return png_file(grey, bits, type, packed_rows(wide, bits), making);
          }};
}

MadeKind jpeg_kind(const std::string& name) {
  return {name, 4, true, true,
          [name](const cv::Mat& grey, const FileMaking& making) { return made_jpeg(grey, making, name); }};
}

MadeKind tiff_kind(const std::string& name) {
  const int steps = name == "tiff-1" || name == "tiff-g4" ? 255 : name == "tiff-jpeg" ? 4 : 0;
  return {name, steps, true, true,
          [name](const cv::Mat& grey, const FileMaking& making) { return made_tiff(grey, making, name); }};
}

std::string made_bmp(const cv::Mat& grey, const FileMaking& making, bool colour) {
  Bytes bytes;
  cv::imencode(".bmp", colour ? coloured(grey, 3) : grey, bytes);
  std::string out(bytes.begin(), bytes.end());
  const std::string per_metre = little_endian(static_cast<unsigned>(std::lround(making.dpi / 0.0254)), 4);
  out.replace(38, 8, per_metre + per_metre);
  return out;
}

std::string made_webp(const cv::Mat& grey, const FileMaking& making, bool lossless) {
  const cv::Mat rgb = coloured(grey, 3);
  std::uint8_t* packed = nullptr;
  const int step = static_cast<int>(rgb.step);
  const std::size_t size = lossless ? WebPEncodeLosslessRGB(rgb.data, rgb.cols, rgb.rows, step, &packed)
                                    : WebPEncodeRGB(rgb.data, rgb.cols, rgb.rows, step, 95, &packed);
  WebPData picture{packed, size};
  WebPMux* const mux = WebPMuxCreate(&picture, 1);
  const std::string notes = exif_block(making);
  WebPData exif{reinterpret_cast<const std::uint8_t*>(notes.data()), notes.size()};
  WebPMuxSetChunk(mux, "EXIF", &exif, 1);
  WebPData whole{};
  WebPMuxAssemble(mux, &whole);
  std::string out(reinterpret_cast<const char*>(whole.bytes), whole.size);
  WebPDataClear(&whole);
  WebPMuxDelete(mux);
  WebPFree(packed);
  return out;
}

heif_error append_heif(heif_context* /*context*/, const void* data, std::size_t size, void* user) {
  static_cast<std::string*>(user)->append(static_cast<const char*>(data), size);
  return {heif_error_Ok, heif_suberror_Unspecified, ""};
}

std::string made_heic(const cv::Mat& grey, const FileMaking& making) {
  heif_context* context = heif_context_alloc();
  heif_encoder* encoder = nullptr;
  heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder);
  heif_encoder_set_lossy_quality(encoder, 92);
  heif_encoder_set_parameter(encoder, "preset", "ultrafast");
  heif_image* image = nullptr;
  heif_image_create(grey.cols, grey.rows, heif_colorspace_RGB, heif_chroma_interleaved_RGB, &image);
  heif_image_add_plane(image, heif_channel_interleaved, grey.cols, grey.rows, 24);
  int step = 0;
  std::uint8_t* const plane = heif_image_get_plane(image, heif_channel_interleaved, &step);
  const cv::Mat rgb = coloured(grey, 3);
  for (int y = 0; y < rgb.rows; ++y)
    std::memcpy(plane + static_cast<std::ptrdiff_t>(y) * step, rgb.ptr(y),
                static_cast<std::size_t>(3 * rgb.cols));
  heif_image_handle* handle = nullptr;
  heif_context_encode_image(context, image, encoder, nullptr, &handle);
  const std::string notes = exif_block(making);
  heif_context_add_exif_metadata(context, handle, notes.data(), static_cast<int>(notes.size()));
  std::string out;
  heif_writer writer{1, append_heif};
  heif_context_write(context, &writer, &out);
  heif_image_handle_release(handle);
  heif_image_release(image);
  heif_encoder_release(encoder);
  heif_context_free(context);
  if (out.empty()) throw std::runtime_error("no HEIC encoder");
  return out;
}

std::string made_pnm(const cv::Mat& grey, bool colour, bool wide) {
  const cv::Mat all = colour ? coloured(grey, 3).reshape(1, grey.rows) : grey;
  return std::string(colour ? "P6" : "P5") + "\n# scanned\n" + std::to_string(grey.cols) + " " +
         std::to_string(grey.rows) + "\n" + (wide ? "65535\n" : "255\n") + packed_rows(all, wide ? 16 : 8);
}

// One page at the picture's own size.
std::string one_page(const cv::Mat& grey, const FileMaking& making, const std::string& dictionary,
                     const std::string& data) {
  const double inch = making.dpi > 0 ? making.dpi : 300;
  return made_pdf(
      {{dictionary, data, grey.cols, grey.rows, 72 * grey.cols / inch, 72 * grey.rows / inch, 0, ""}});
}

std::string strip_data(const std::string& tiff_bytes) {
  std::istringstream stream(tiff_bytes);
  TIFF* tiff = TIFFStreamOpen("made", &stream);
  std::string data(static_cast<std::size_t>(TIFFRawStripSize(tiff, 0)), '\0');
  TIFFReadRawStrip(tiff, 0, data.data(), static_cast<tmsize_t>(data.size()));
  TIFFClose(tiff);
  return data;
}

MadeKind pdf_kind(const std::string& name, int steps, const std::string& dictionary,
                  std::function<std::string(const cv::Mat&)> data) {
  return {name, steps, true, false, [dictionary, data](const cv::Mat& grey, const FileMaking& making) {
            return one_page(grey, making, dictionary, data(grey));
          }};
}

std::vector<MadeKind> pdf_kinds() {
  const auto jpeg = [](const char* kind) {
    return [kind](const cv::Mat& grey) { return made_jpeg(grey, {0, 1}, kind); };
  };
  const auto flate = [](const cv::Mat& grey) { return deflated(rows_of(grey)); };
  const auto png = [](const cv::Mat& grey) { return deflated(with_filter_bytes(rows_of(grey), grey.rows)); };
  const std::string gray = "/ColorSpace/DeviceGray/BitsPerComponent 8";
  std::vector<MadeKind> kinds = {
      pdf_kind("pdf-jpeg", 4, "/ColorSpace/DeviceRGB/BitsPerComponent 8/Filter/DCTDecode",
               jpeg("jpeg-colour")),
      pdf_kind("pdf-jpeg-grey", 4, gray + "/Filter[/DCTDecode]", jpeg("jpeg-grey")),
      pdf_kind("pdf-jpeg-cmyk", 4,
               "/ColorSpace/DeviceCMYK/BitsPerComponent 8/Decode[1 0 1 0 1 0 1 0]/Filter/DCTDecode",
               jpeg("jpeg-cmyk")),
      pdf_kind("pdf-flate", 0, gray + "/Filter/FlateDecode", flate),
      pdf_kind("pdf-rgb", 0, "/ColorSpace/DeviceRGB/BitsPerComponent 8/Filter/FlateDecode",
               [](const cv::Mat& grey) { return deflated(rows_of(coloured(grey, 3))); }),
      pdf_kind("pdf-plain", 0, gray, rows_of),
      pdf_kind("pdf-turned-over", 0, gray + "/Decode[1 0]/Filter/FlateDecode",
               [](const cv::Mat& grey) { return deflated(rows_of(255 - grey)); }),
      pdf_kind("pdf-packed-jpeg", 4, gray + "/Filter[/FlateDecode/DCTDecode]", [](const cv::Mat& grey) {
        return deflated(made_jpeg(grey, {0, 1}, "jpeg-grey"));
      })};
  // The width stands in the parameters, so these are made for their picture.
  kinds.push_back({"pdf-png", 0, true, false, [png, gray](const cv::Mat& grey, const FileMaking& making) {
                     return one_page(grey, making,
                                     gray + "/Filter/FlateDecode/DecodeParms<</Predictor 15/Columns " +
                                         std::to_string(grey.cols) + ">>",
                                     png(grey));
                   }});
  kinds.push_back({"pdf-g4", 255, true, false, [](const cv::Mat& grey, const FileMaking& making) {
                     return one_page(grey, making,
                                     "/ColorSpace/DeviceGray/BitsPerComponent 1/Filter/CCITTFaxDecode"
                                     "/DecodeParms<</K -1/Columns " +
                                         std::to_string(grey.cols) + "/Rows " + std::to_string(grey.rows) +
                                         ">>",
                                     strip_data(made_tiff(grey, making, "tiff-g4")));
                   }});
  return kinds;
}

std::vector<MadeKind> all_kinds() {
  std::vector<MadeKind> kinds = {jpeg_kind("jpeg-grey"),
                                 jpeg_kind("jpeg-colour"),
                                 jpeg_kind("jpeg-progressive"),
                                 jpeg_kind("jpeg-rgb"),
                                 jpeg_kind("jpeg-cmyk"),
                                 jpeg_kind("jpeg-ycck"),
                                 jpeg_kind("jpeg-restarts"),
                                 png_kind("png-8", 8, PNG_COLOR_TYPE_GRAY),
                                 png_kind("png-1", 1, PNG_COLOR_TYPE_GRAY),
                                 png_kind("png-2", 2, PNG_COLOR_TYPE_GRAY),
                                 png_kind("png-4", 4, PNG_COLOR_TYPE_GRAY),
                                 png_kind("png-16", 16, PNG_COLOR_TYPE_GRAY),
                                 png_kind("png-rgb", 8, PNG_COLOR_TYPE_RGB),
                                 png_kind("png-rgb-16", 16, PNG_COLOR_TYPE_RGB),
                                 png_kind("png-rgba", 8, PNG_COLOR_TYPE_RGB_ALPHA),
                                 png_kind("png-grey-alpha", 8, PNG_COLOR_TYPE_GRAY_ALPHA),
                                 png_kind("png-palette", 8, PNG_COLOR_TYPE_PALETTE),
                                 {"png-interlaced", 0, true, false, interlaced_png}};
  for (const char* name : {"tiff-8", "tiff-16", "tiff-1", "tiff-rgb", "tiff-rgb-16", "tiff-white-zero",
                           "tiff-tiles", "tiff-lzw", "tiff-deflate", "tiff-packbits", "tiff-jpeg", "tiff-g4",
                           "tiff-one-strip", "tiff-planes", "tiff-big-endian", "tiff-big"})
    kinds.push_back(tiff_kind(name));
  kinds.push_back({"bmp-8", 0, true, false, [](const cv::Mat& grey, const FileMaking& making) {
                     return made_bmp(grey, making, false);
                   }});
  kinds.push_back({"bmp-24", 0, true, false, [](const cv::Mat& grey, const FileMaking& making) {
                     return made_bmp(grey, making, true);
                   }});
  kinds.push_back({"webp-lossless", 0, true, true, [](const cv::Mat& grey, const FileMaking& making) {
                     return made_webp(grey, making, true);
                   }});
  kinds.push_back({"webp-lossy", 9, true, true, [](const cv::Mat& grey, const FileMaking& making) {
                     return made_webp(grey, making, false);
                   }});
  kinds.push_back({"heic", 9, true, false, made_heic});
  kinds.push_back({"pgm", 0, false, false,
                   [](const cv::Mat& grey, const FileMaking&) { return made_pnm(grey, false, false); }});
  kinds.push_back({"pgm-16", 0, false, false,
                   [](const cv::Mat& grey, const FileMaking&) { return made_pnm(grey, false, true); }});
  kinds.push_back({"ppm", 0, false, false,
                   [](const cv::Mat& grey, const FileMaking&) { return made_pnm(grey, true, false); }});
  for (MadeKind& kind : pdf_kinds()) kinds.push_back(std::move(kind));
  return kinds;
}

}  // namespace

std::string big_endian(unsigned value, int bytes) {
  std::string out;
  for (int i = bytes - 1; i >= 0; --i) out += static_cast<char>(value >> (8 * i));
  return out;
}

std::string little_endian(unsigned value, int bytes) {
  std::string out;
  for (int i = 0; i < bytes; ++i) out += static_cast<char>(value >> (8 * i));
  return out;
}

std::string deflated(const std::string& bytes) {
  uLongf size = compressBound(bytes.size());
  std::string out(size, '\0');
  compress2(reinterpret_cast<Bytef*>(out.data()), &size, reinterpret_cast<const Bytef*>(bytes.data()),
            bytes.size(), 6);
  out.resize(size);
  return out;
}

std::string png_chunk(const std::string& kind, const std::string& body) {
  const std::string checked = kind + body;
  const auto sum =
      crc32(0, reinterpret_cast<const Bytef*>(checked.data()), static_cast<uInt>(checked.size()));
  return big_endian(static_cast<unsigned>(body.size()), 4) + checked +
         big_endian(static_cast<unsigned>(sum), 4);
}

// Orientation, and the resolution as two ratios behind the directory.
std::string exif_block(const FileMaking& making) {
  const auto entry = [](unsigned tag, unsigned type, unsigned value) {
    return little_endian(tag, 2) + little_endian(type, 2) + little_endian(1, 4) + little_endian(value, 4);
  };
  const unsigned entries = (making.dpi > 0 ? 4 : 1) + (making.exposed ? 1 : 0);
  const unsigned ratios = 8 + 2 + 12 * entries + 4;
  const unsigned own = ratios + (making.dpi > 0 ? 16 : 0);  // where the camera's own notes begin
  std::string out = std::string("II*\0", 4) + little_endian(8, 4) + little_endian(entries, 2);
  out += entry(0x112, 3, static_cast<unsigned>(making.orientation));
  if (making.dpi > 0) out += entry(0x11a, 5, ratios) + entry(0x11b, 5, ratios + 8) + entry(0x128, 3, 2);
  if (making.exposed) out += entry(0x8769, 4, own);
  out += little_endian(0, 4);
  const std::string ratio = little_endian(static_cast<unsigned>(making.dpi), 4) + little_endian(1, 4);
  if (making.dpi > 0) out += ratio + ratio;
  if (making.exposed)
    out += little_endian(1, 2) + entry(0x829a, 5, own + 2 + 12 + 4) + little_endian(0, 4) +
           little_endian(1, 4) + little_endian(60, 4);
  return out;
}

std::string made_jpeg(const cv::Mat& grey, const FileMaking& making, const std::string& kind) {
  const bool cmyk = kind == "jpeg-cmyk" || kind == "jpeg-ycck";
  const int channels = kind == "jpeg-grey" ? 1 : cmyk ? 4 : 3;
  cv::Mat all = grey;
  if (channels == 3) all = coloured(grey, 3);
  if (cmyk) {  // as Adobe writes it, turned over: no cyan, magenta, yellow, and black as light
    const cv::Mat none(grey.size(), CV_8UC1, cv::Scalar(255));
    cv::merge(std::vector<cv::Mat>{none, none, none, grey}, all);
  }
  jpeg_compress_struct info{};
  jpeg_error_mgr errors{};
  info.err = jpeg_std_error(&errors);
  jpeg_create_compress(&info);
  unsigned char* out = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&info, &out, &size);
  info.image_width = static_cast<unsigned>(grey.cols);
  info.image_height = static_cast<unsigned>(grey.rows);
  info.input_components = channels;
  info.in_color_space = channels == 1 ? JCS_GRAYSCALE : channels == 3 ? JCS_RGB : JCS_CMYK;
  jpeg_set_defaults(&info);
  if (kind == "jpeg-rgb") jpeg_set_colorspace(&info, JCS_RGB);
  if (kind == "jpeg-ycck") jpeg_set_colorspace(&info, JCS_YCCK);
  if (kind == "jpeg-restarts") info.restart_in_rows = 2;
  if (making.dpi > 0 && info.write_JFIF_header) {
    info.density_unit = 1;
    info.X_density = info.Y_density = static_cast<UINT16>(making.dpi);
  }
  jpeg_set_quality(&info, 95, TRUE);
  if (kind == "jpeg-progressive") jpeg_simple_progression(&info);
  jpeg_start_compress(&info, TRUE);
  if (making.orientation != 1 || making.exposed || (making.dpi > 0 && !info.write_JFIF_header)) {
    const std::string notes = std::string("Exif\0\0", 6) + exif_block(making);
    jpeg_write_marker(&info, JPEG_APP0 + 1, reinterpret_cast<const JOCTET*>(notes.data()),
                      static_cast<unsigned>(notes.size()));
  }
  while (info.next_scanline < info.image_height) {
    JSAMPROW row = all.ptr(static_cast<int>(info.next_scanline));
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  std::string bytes(reinterpret_cast<const char*>(out), size);
  jpeg_destroy_compress(&info);
  std::free(out);
  return bytes;
}

std::string made_tiff(const cv::Mat& grey, const FileMaking& making, const std::string& kind, int count) {
  const bool rgb = kind == "tiff-rgb" || kind == "tiff-rgb-16" || kind == "tiff-planes";
  const int bits = kind == "tiff-16" || kind == "tiff-rgb-16" ? 16
                   : kind == "tiff-1" || kind == "tiff-g4"    ? 1
                                                              : 8;
  const TempDir dir;
  const char* mode = kind == "tiff-big-endian" ? "wb" : kind == "tiff-big" ? "w8" : "w";
  TIFF* tiff = TIFFOpen(dir.file("made.tif").c_str(), mode);
  if (!tiff) throw std::runtime_error("no TIFF");
  for (int page = 0; page < count; ++page) {
    const cv::Mat codes = bits == 1                   ? two_tones(grey)
                          : kind == "tiff-white-zero" ? cv::Mat(255 - grey)
                                                      : grey;
    const cv::Mat all = rgb ? coloured(codes, 3).reshape(1, grey.rows) : codes;
    TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, grey.cols);
    TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, grey.rows);
    TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, bits);
    TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, rgb ? 3 : 1);
    TIFFSetField(tiff, TIFFTAG_ORIENTATION, making.orientation);
    const bool white_zero = kind == "tiff-white-zero" || kind == "tiff-g4";
    TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC,
                 rgb          ? PHOTOMETRIC_RGB
                 : white_zero ? PHOTOMETRIC_MINISWHITE
                              : PHOTOMETRIC_MINISBLACK);
    TIFFSetField(tiff, TIFFTAG_COMPRESSION,
                 kind == "tiff-lzw"        ? COMPRESSION_LZW
                 : kind == "tiff-deflate"  ? COMPRESSION_ADOBE_DEFLATE
                 : kind == "tiff-packbits" ? COMPRESSION_PACKBITS
                 : kind == "tiff-jpeg"     ? COMPRESSION_JPEG
                 : kind == "tiff-g4"       ? COMPRESSION_CCITTFAX4
                                           : COMPRESSION_NONE);
    if (kind == "tiff-jpeg") TIFFSetField(tiff, TIFFTAG_JPEGQUALITY, 95);
    TIFFSetField(tiff, TIFFTAG_PLANARCONFIG,
                 kind == "tiff-planes" ? PLANARCONFIG_SEPARATE : PLANARCONFIG_CONTIG);
    if (making.dpi > 0) {
      TIFFSetField(tiff, TIFFTAG_XRESOLUTION, static_cast<double>(making.dpi));
      TIFFSetField(tiff, TIFFTAG_YRESOLUTION, static_cast<double>(making.dpi));
      TIFFSetField(tiff, TIFFTAG_RESOLUTIONUNIT, RESUNIT_INCH);
    }
    const std::string rows =
        packed_rows(kind == "tiff-g4" ? cv::Mat(255 - all) : all, bits, TIFFIsBigEndian(tiff) != 0);
    const std::size_t step = rows.size() / static_cast<std::size_t>(grey.rows);
    auto* const data = const_cast<char*>(rows.data());
    if (kind == "tiff-tiles") {
      constexpr int kTile = 64;
      TIFFSetField(tiff, TIFFTAG_TILEWIDTH, kTile);
      TIFFSetField(tiff, TIFFTAG_TILELENGTH, kTile);
      for (int y = 0; y < grey.rows; y += kTile)
        for (int x = 0; x < grey.cols; x += kTile) {
          cv::Mat tile(kTile, kTile, CV_8UC1, cv::Scalar(0));
          const cv::Rect part(x, y, std::min(kTile, grey.cols - x), std::min(kTile, grey.rows - y));
          grey(part).copyTo(tile({0, 0, part.width, part.height}));
          TIFFWriteTile(tiff, tile.data, static_cast<unsigned>(x), static_cast<unsigned>(y), 0, 0);
        }
    } else {
      TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP,
                   kind == "tiff-one-strip" || kind == "tiff-g4" ? grey.rows : 16);
      if (kind == "tiff-planes") {
        for (std::uint16_t plane = 0; plane < 3; ++plane)
          for (int y = 0; y < grey.rows; ++y)
            TIFFWriteScanline(tiff, const_cast<uchar*>(grey.ptr(y)), static_cast<unsigned>(y), plane);
      } else {
        for (int y = 0; y < grey.rows; ++y)
          TIFFWriteScanline(tiff, data + static_cast<std::size_t>(y) * step, static_cast<unsigned>(y), 0);
      }
    }
    TIFFWriteDirectory(tiff);
  }
  TIFFClose(tiff);
  return read_file(dir.file("made.tif")).value();
}

std::string made_pdf(const std::vector<PdfPage>& pages) {
  std::string out = "%PDF-1.4\n";
  std::vector<std::size_t> places;
  const auto object = [&](const std::string& body) {
    places.push_back(out.size());
    out += std::to_string(places.size()) + " 0 obj\n" + body + "\nendobj\n";
  };
  const auto stream = [](const std::string& dictionary, const std::string& data) {
    return "<<" + dictionary + "/Length " + std::to_string(data.size()) + ">>\nstream\n" + data +
           "\nendstream";
  };
  std::string kids;
  for (std::size_t i = 0; i < pages.size(); ++i) kids += std::to_string(3 + 3 * i) + " 0 R ";
  object("<</Type/Catalog/Pages 2 0 R>>");
  object("<</Type/Pages/Count " + std::to_string(pages.size()) + "/Kids[" + kids + "]>>");
  for (std::size_t i = 0; i < pages.size(); ++i) {
    const PdfPage& page = pages[i];
    const std::string size = std::to_string(page.width_pt) + " " + std::to_string(page.height_pt);
    object("<</Type/Page/Parent 2 0 R/MediaBox[0 0 " + size + "]" +
           (page.entries.empty() ? "/Rotate " + std::to_string(page.rotate) : page.entries) + "/Contents " +
           std::to_string(4 + 3 * i) + " 0 R/Resources<</XObject<</Im0 " + std::to_string(5 + 3 * i) +
           " 0 R>>>>>>");
    object(stream("", "q " + std::to_string(page.width_pt) + " 0 0 " + std::to_string(page.height_pt) +
                          " 0 0 cm /Im0 Do Q " + page.more_content));
    object(stream("/Type/XObject/Subtype/Image/Width " + std::to_string(page.width_px) + "/Height " +
                      std::to_string(page.height_px) + page.dictionary,
                  page.data));
  }
  const std::size_t table = out.size();
  out += "xref\n0 " + std::to_string(places.size() + 1) + "\n0000000000 65535 f \n";
  for (const std::size_t place : places) {
    const std::string number = std::to_string(place);
    out += std::string(10 - number.size(), '0') + number + " 00000 n \n";
  }
  return out + "trailer\n<</Size " + std::to_string(places.size() + 1) + "/Root 1 0 R>>\nstartxref\n" +
         std::to_string(table) + "\n%%EOF\n";
}

const std::vector<MadeKind>& made_kinds() {
  static const std::vector<MadeKind> kinds = all_kinds();
  return kinds;
}

const MadeKind& made_kind(const std::string& name) {
  for (const MadeKind& kind : made_kinds())
    if (kind.name == name) return kind;
  throw std::out_of_range(name);
}

}  // namespace tapersight::testing
