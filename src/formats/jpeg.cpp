#include "formats/jpeg.h"

// libjpeg's header needs the standard types first.
#include <csetjmp>
#include <cstdio>
#include <cstring>
#include <vector>

#include <jerror.h>
#include <jpeglib.h>

#include "formats/checks.h"
#include "formats/exif.h"
#include "formats/grey_row.h"
#include "formats/turn.h"
#include "formats/zeroed.h"

namespace tapersight {
namespace {

// A progressive picture has about ten scans; thousands of tiny ones keep a decoder busy for hours.
constexpr int kMostScans = 100;

enum class Trouble { kNone, kDamaged, kUnsupported };

struct Decoder {
  jpeg_decompress_struct info{};
  jpeg_error_mgr errors{};
  jpeg_progress_mgr progress{};
  std::jmp_buf escape;
  Trouble trouble = Trouble::kNone;

  Decoder() = default;
  Decoder(const Decoder&) = delete;
  Decoder& operator=(const Decoder&) = delete;
  ~Decoder() { jpeg_destroy_decompress(&info); }
};

Decoder& decoder_of(j_common_ptr info) {
  return *static_cast<Decoder*>(info->client_data);
}

[[noreturn]] void give_up(j_common_ptr info, Trouble trouble) {
  decoder_of(info).trouble = trouble;
  std::longjmp(decoder_of(info).escape, 1);
}

[[noreturn]] void on_error(j_common_ptr info) {
  const int code = info->err->msg_code;
  const bool unsupported = code == JERR_SOF_UNSUPPORTED || code == JERR_BAD_PRECISION ||
                           code == JERR_ARITH_NOTIMPL || code == JERR_CONVERSION_NOTIMPL ||
                           code == JERR_COMPONENT_COUNT || code == JERR_CCIR601_NOTIMPL;
  give_up(info, unsupported ? Trouble::kUnsupported : Trouble::kDamaged);
}

// The library fills with grey what a damaged file does not hold, and warns. Only bytes too many and odd
// header fields do no harm.
void on_message(j_common_ptr info, int level) {
  if (level >= 0) return;
  const int code = info->err->msg_code;
  if (code == JWRN_EXTRANEOUS_DATA || code == JWRN_JFIF_MAJOR || code == JWRN_ADOBE_XFORM) return;
  give_up(info, Trouble::kDamaged);
}

void on_progress(j_common_ptr info) {
  if (reinterpret_cast<j_decompress_ptr>(info)->input_scan_number > kMostScans)
    give_up(info, Trouble::kUnsupported);
}

void begin(Decoder& d, const std::string& bytes) {
  d.info.err = jpeg_std_error(&d.errors);
  d.info.client_data = &d;
  d.errors.error_exit = on_error;
  d.errors.emit_message = on_message;
  jpeg_create_decompress(&d.info);
  d.progress.progress_monitor = on_progress;
  d.info.progress = &d.progress;
  jpeg_save_markers(&d.info, JPEG_APP0 + 1, 0xffff);
  jpeg_mem_src(&d.info, reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
}

// The three functions with setjmp hold nothing that has a destructor.
bool header(Decoder& d, const std::string& bytes) {
  if (setjmp(d.escape)) return false;
  begin(d, bytes);
  jpeg_read_header(&d.info, TRUE);
  return true;
}

bool start(Decoder& d, std::size_t most_memory) {
  if (setjmp(d.escape)) return false;
  d.info.mem->max_memory_to_use = static_cast<long>(most_memory);
  jpeg_start_decompress(&d.info);
  return true;
}

// Grey rows straight into the picture; of CMYK through `cmyk`, a row of four samples.
bool rows(Decoder& d, unsigned char* grey, std::size_t step, unsigned char* cmyk, bool turned_over) {
  if (setjmp(d.escape)) return false;
  while (d.info.output_scanline < d.info.output_height) {
    unsigned char* const row = grey + d.info.output_scanline * step;
    unsigned char* target = cmyk ? cmyk : row;
    jpeg_read_scanlines(&d.info, &target, 1);
    if (!cmyk) continue;
    for (JDIMENSION x = 0; x < d.info.output_width; ++x) {
      const unsigned char* const ink = cmyk + 4 * std::size_t{x};
      const auto light = [&](int i) -> unsigned { return turned_over ? ink[i] : 255U - ink[i]; };
      row[x] = grey_of_cmyk_light(light(0), light(1), light(2), light(3));
    }
  }
  jpeg_finish_decompress(&d.info);
  return true;
}

Failure failure_of(const Decoder& d) {
  return d.trouble == Trouble::kUnsupported ? unsupported_picture("is a rare kind of JPEG")
                                            : damaged_picture();
}

ExifNotes exif_of(const Decoder& d) {
  for (jpeg_saved_marker_ptr m = d.info.marker_list; m; m = m->next)
    if (m->marker == JPEG_APP0 + 1 && m->data_length > 6 && std::memcmp(m->data, "Exif\0\0", 6) == 0)
      return read_exif({reinterpret_cast<const char*>(m->data) + 6, m->data_length - 6});
  return {};
}

std::optional<Dpi> jfif_dpi(const Decoder& d) {
  if (!d.info.saw_JFIF_marker || d.info.X_density <= 1 || d.info.Y_density <= 1) return std::nullopt;
  const double per_inch = d.info.density_unit == 1 ? 1 : d.info.density_unit == 2 ? 2.54 : 0;
  if (per_inch == 0) return std::nullopt;
  return Dpi{d.info.X_density * per_inch, d.info.Y_density * per_inch};
}

double memory_needed(Decoder& d, double file_bytes, bool turned) {
  double blocks = 0;
  if (jpeg_has_multiple_scans(&d.info))
    for (int i = 0; i < d.info.num_components; ++i)
      blocks += double{1} * d.info.comp_info[i].width_in_blocks * d.info.comp_info[i].height_in_blocks;
  const double pixels = double{1} * d.info.image_width * d.info.image_height;
  return file_bytes + pixels * (turned ? 2 : 1) + blocks * DCTSIZE2 * sizeof(JCOEF);
}

Result<FilePicture> read(const std::string& bytes, const ReadOptions& options,
                         std::optional<bool> turned_over, bool in_pdf) {
  Decoder d;
  if (!header(d, bytes)) return failure_of(d);
  if (jpeg_data_are_zeroed(bytes)) return damaged_picture();
  const ExifNotes exif = in_pdf ? ExifNotes{} : exif_of(d);
  const double memory = memory_needed(d, static_cast<double>(bytes.size()), exif.orientation >= 5);
  if (auto failure = check_size(d.info.image_width, d.info.image_height, memory, options.limits))
    return *failure;
  const bool cmyk = d.info.jpeg_color_space == JCS_CMYK || d.info.jpeg_color_space == JCS_YCCK;
  d.info.out_color_space = cmyk ? JCS_CMYK : JCS_GRAYSCALE;
  if (!start(d, options.limits.most_memory_bytes)) return failure_of(d);
  FilePicture picture;
  picture.grey =
      grey_picture(static_cast<int>(d.info.output_height), static_cast<int>(d.info.output_width), options);
  std::vector<unsigned char> row(cmyk ? 4 * std::size_t{d.info.output_width} : 0);
  if (!rows(d, picture.grey.data, picture.grey.step, cmyk ? row.data() : nullptr,
            turned_over.value_or(d.info.saw_Adobe_marker != FALSE)))
    return failure_of(d);
  if (!in_pdf) picture.dpi = jfif_dpi(d);
  if (!picture.dpi) picture.dpi = exif.dpi;
  picture.by_camera = exif.exposed;
  return turned_upright(std::move(picture), exif.orientation);
}

}  // namespace

bool is_jpeg(const std::string& bytes) {
  return bytes.compare(0, 3, "\xff\xd8\xff") == 0;
}

Result<FilePicture> read_jpeg(const std::string& bytes, const ReadOptions& options) {
  if (auto failure = check_only_page(options)) return *failure;
  return read(bytes, options, std::nullopt, false);
}

Result<FilePicture> read_jpeg_in_pdf(const std::string& bytes, const ReadOptions& options, bool turned_over) {
  return read(bytes, options, turned_over, true);
}

}  // namespace tapersight
