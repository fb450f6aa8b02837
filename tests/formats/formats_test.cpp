// Every kind of file gives the same picture, upright, with its dpi; cut off, damaged or too large it gives
// none.
#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>

#include "base/rng.h"
#include "formats/jpeg.h"
#include "formats/pdf_structure.h"
#include "formats/read_picture.h"
#include "support/made_files.h"

namespace tapersight {
namespace {

using namespace tapersight::testing;

// Light top left, dark bottom right, of odd sides so that no row is a whole number of bytes or tiles.
cv::Mat slope() {
  cv::Mat grey(83, 101, CV_8UC1);
  for (int y = 0; y < grey.rows; ++y)
    for (int x = 0; x < grey.cols; ++x) grey.at<uchar>(y, x) = static_cast<uchar>(235 - x - y);
  return grey;
}

// How far two pictures of one size are apart.
double apart(const cv::Mat& a, const cv::Mat& b) {
  return a.size() == b.size() ? cv::norm(a, b, cv::NORM_INF) : 1000;
}

class EveryKind : public ::testing::TestWithParam<std::string> {
 protected:
  const MadeKind& kind() const { return made_kind(GetParam()); }
};

TEST_P(EveryKind, GivesTheSamePictureAndItsDpi) {
  const auto picture = read_picture(kind().make(slope(), {300, 1}));
  ASSERT_TRUE(picture.ok()) << picture.failure().text;
  cv::Mat expected = slope();
  if (kind().grey_steps == 255) expected = slope() > 127;
  EXPECT_LE(apart(picture->grey, expected), kind().grey_steps == 255 ? 0 : kind().grey_steps);
  ASSERT_EQ(picture->dpi.has_value(), kind().states_dpi);
  if (!picture->dpi) return;
  EXPECT_NEAR(picture->dpi->u, 300, 0.02);  // some count whole pixels per metre
  EXPECT_NEAR(picture->dpi->v, 300, 0.02);
}

// Written as the camera held sideways writes it, it comes out upright.
TEST_P(EveryKind, ComesOutUprightFromEveryOrientation) {
  if (!kind().can_turn) {
    EXPECT_TRUE(read_picture(kind().make(slope(), {0, 1})).ok());
    return;
  }
  const cv::Mat upright = slope();
  for (int orientation = 1; orientation <= 8; ++orientation) {
    // The inverse of the turn: rows and columns exchanged first or last, mirrors as they are.
    cv::Mat stored = upright.clone();
    const int mirror[] = {9, 9, 1, -1, 0, 9, 1, -1, 0};
    if (mirror[orientation] != 9) cv::flip(stored, stored, mirror[orientation]);
    if (orientation >= 5) stored = stored.t();
    const auto picture = read_picture(kind().make(stored, {0, orientation}));
    ASSERT_TRUE(picture.ok()) << orientation;
    cv::Mat expected = kind().grey_steps == 255 ? cv::Mat(upright > 127) : upright;
    EXPECT_LE(apart(picture->grey, expected), kind().grey_steps == 255 ? 0 : kind().grey_steps)
        << orientation;
  }
}

// Only a camera notes an exposure, whatever else the notes say.
TEST(Exif, ACamerasNotesTellAPhotoFromAScan) {
  for (const char* name : {"jpeg-grey", "jpeg-progressive", "png-rgb", "webp-lossy", "heic"}) {
    const MadeKind& kind = made_kind(name);
    for (const int dpi : {0, 300}) {
      const auto photo = read_picture(kind.make(slope(), {dpi, 1, true}));
      ASSERT_TRUE(photo.ok()) << name;
      EXPECT_TRUE(photo->by_camera) << name;
      const auto scan = read_picture(kind.make(slope(), {dpi, 1, false}));
      ASSERT_TRUE(scan.ok()) << name;
      EXPECT_FALSE(scan->by_camera) << name;
    }
  }
}

// Whatever length of it there is: never a picture with a made-up rest.
TEST_P(EveryKind, IsRefusedWhenCutOff) {
  const std::string whole = kind().make(slope(), {300, 1});
  const auto full = read_picture(whole);
  ASSERT_TRUE(full.ok());
  for (std::size_t n = 0; n < whole.size(); n += std::max<std::size_t>(1, whole.size() / 300)) {
    const auto picture = read_picture(whole.substr(0, n));
    if (picture.ok()) {
      EXPECT_EQ(apart(picture->grey, full->grey), 0) << n << " of " << whole.size();
      EXPECT_GE(n, whole.size() * 9 / 10) << n << " of " << whole.size();
    }
  }
}

// What a broken disk or a copy that broke off leaves: zeros for a piece of the data, or for all of the rest.
// Formats with a sum over their data know it; where there is none it is seen only as far as zeros are no data
// (README, "What is refused").
std::string with_zeros(std::string bytes, std::size_t from, std::size_t count) {
  count = std::min(count, bytes.size() - from);
  return bytes.replace(from, count, count, '\0');
}

cv::Mat lively(int rows, int columns) {
  cv::Mat grey(rows, columns, CV_8UC1);
  Rng rng(3);
  for (int y = 0; y < rows; ++y)
    for (int x = 0; x < columns; ++x)
      grey.at<uchar>(y, x) = static_cast<uchar>(60 + x / 4 + y / 6 + rng.integer(0, 40));
  return grey;
}

struct Zeroed {
  int refused = 0, same = 0, other = 0;  // other: a picture that is not the file's
};

// At many places, each with `least` bytes behind it or more.
Zeroed zeroed(const std::string& whole, const cv::Mat& full, std::size_t count, std::size_t least) {
  Zeroed ends;
  constexpr std::size_t kPlaces = 40;
  const std::size_t first = whole.size() / 8, last = whole.size() - std::min(whole.size() / 2, least);
  for (std::size_t i = 1; i < kPlaces; ++i) {
    const auto picture = read_picture(with_zeros(whole, first + i * (last - first) / kPlaces, count));
    ++(!picture ? ends.refused : apart(picture->grey, full) == 0 ? ends.same : ends.other);
  }
  return ends;
}

// How many zeros in a row no picture of the kind survives; 0 where the format has nothing that tells.
std::size_t zeros_that_are_known(const std::string& kind) {
  const auto begins = [&](const char* with) { return kind.rfind(with, 0) == 0; };
  if (begins("png") || begins("heic") || begins("webp-lossy") || kind == "tiff-deflate" || begins("pdf-png"))
    return 512;
  // The encoder's usual tables; tables made for the picture may say "even" with zeros.
  if (begins("jpeg") && kind != "jpeg-progressive") return 512;
  if (begins("pdf-jpeg") || begins("pdf-packed") || kind == "pdf-flate" || kind == "pdf-rgb") return 512;
  return begins("webp-lossless") || kind == "tiff-lzw" || kind == "tiff-jpeg" ? 4096 : 0;
}

TEST_P(EveryKind, DataOfZerosAreRefusedWhereThatCanBeKnown) {
  const cv::Mat grey = lively(240, 320);
  const std::string whole = kind().make(grey, {300, 1});
  const auto full = read_picture(whole);
  ASSERT_TRUE(full.ok());
  const std::size_t known = zeros_that_are_known(GetParam());
  for (const std::size_t count : {std::size_t{512}, std::size_t{4096}, whole.size()}) {
    const Zeroed ends = zeroed(whole, full->grey, count, known);
    EXPECT_TRUE(known == 0 || count < known || ends.other == 0)
        << ends.other << " of 39 with " << count << " zeros";
    EXPECT_TRUE(count < known || ends.refused > 0 || known == 0);
  }
}

TEST_P(EveryKind, SurvivesChangedBytes) {
  const std::string whole = kind().make(slope(), {300, 1});
  Rng rng(7);
  for (int i = 0; i < 150; ++i) {
    std::string changed = whole;
    for (int k = rng.integer(1, 4); k > 0; --k) {
      // Headers matter most.
      const int last = static_cast<int>(whole.size()) - 1;
      const int at = rng.integer(0, rng.integer(0, 1) == 0 ? std::min(last, 200) : last);
      changed[static_cast<std::size_t>(at)] = static_cast<char>(rng.integer(0, 255));
    }
    const auto picture = read_picture(changed);
    EXPECT_TRUE(picture.ok() ? !picture->grey.empty() : !picture.failure().remedy.empty());
  }
}

TEST_P(EveryKind, IsRefusedBeyondALimit) {
  const std::string whole = kind().make(slope(), {300, 1});
  ReadOptions options;
  options.limits.most_pixels = 101 * 83 - 1;
  ASSERT_FALSE(read_picture(whole, options).ok());
  EXPECT_EQ(read_picture(whole, options).failure().code, "picture-too-large");
  options.limits.most_pixels = 101 * 83;
  EXPECT_TRUE(read_picture(whole, options).ok());
  options.limits.most_memory_bytes = 101 * 83 - 1;
  EXPECT_FALSE(read_picture(whole, options).ok());
}

TEST_P(EveryKind, HasOnePage) {
  ReadOptions options;
  options.page = 1;
  const std::string whole = kind().make(slope(), {300, 1});
  EXPECT_TRUE(read_picture(whole, options).ok());
  options.page = 2;
  ASSERT_FALSE(read_picture(whole, options).ok());
  EXPECT_EQ(read_picture(whole, options).failure().code, "no-such-page");
}

std::vector<std::string> names() {
  std::vector<std::string> all;
  for (const MadeKind& kind : made_kinds()) all.push_back(kind.name);
  return all;
}

std::string test_name(const ::testing::TestParamInfo<std::string>& info) {
  std::string name = info.param;
  for (char& c : name)
    if (c == '-') c = '_';
  return name;
}

INSTANTIATE_TEST_SUITE_P(Formats, EveryKind, ::testing::ValuesIn(names()), test_name);

TEST(ReadPicture, PagesAreNamed) {
  const std::string tiff = made_tiff(slope(), {300, 1}, "tiff-8", 3);
  const std::string jpeg = made_jpeg(slope(), {0, 1}, "jpeg-grey");
  const PdfPage page{
      "/ColorSpace/DeviceGray/BitsPerComponent 8/Filter/DCTDecode", jpeg, 101, 83, 101, 83, 0, ""};
  for (const std::string& bytes : {tiff, made_pdf({page, page, page})}) {
    EXPECT_EQ(read_picture(bytes).failure().code, "several-pages");
    ReadOptions options;
    options.page = 3;
    EXPECT_TRUE(read_picture(bytes, options).ok());
    options.page = 4;
    EXPECT_EQ(read_picture(bytes, options).failure().code, "no-such-page");
  }
}

// The first page's directory names the second's, which is missing: then more may be.
TEST(ReadTiff, PagesWhoseChainBreaksOffAreRefused) {
  const cv::Mat grey = lively(120, 160);
  for (const char* kind : {"tiff-lzw", "tiff-8", "tiff-deflate"}) {
    const std::string whole = made_tiff(grey, {300, 1}, kind, 2);
    const std::string one = made_tiff(grey, {300, 1}, kind, 1);
    ReadOptions first;
    first.page = 1;
    ASSERT_TRUE(read_picture(whole, first).ok());
    for (std::size_t n = one.size() + 8; n + 250 < whole.size(); n += whole.size() / 100) {
      for (const std::string& bytes : {whole.substr(0, n), with_zeros(whole, n, whole.size())}) {
        EXPECT_FALSE(read_picture(bytes, first).ok()) << kind << ", " << n << " of " << whole.size();
        EXPECT_FALSE(read_picture(bytes).ok()) << kind << ", " << n << " of " << whole.size();
      }
    }
  }
}

// PDF 32000-1, 7.7.3.3: /Rotate turns clockwise; the placement may mirror.
TEST(ReadPdf, IsTurnedAsItsPageShowsIt) {
  const std::string grey = "/ColorSpace/DeviceGray/BitsPerComponent 8";
  const std::string data(reinterpret_cast<const char*>(slope().data), slope().total());
  PdfPage page{grey, data, 101, 83, 101, 166, 90, ""};
  const auto turned = read_picture(made_pdf({page}));
  ASSERT_TRUE(turned.ok()) << turned.failure().text;
  cv::Mat expected;
  cv::rotate(slope(), expected, cv::ROTATE_90_CLOCKWISE);
  EXPECT_EQ(apart(turned->grey, expected), 0);
  EXPECT_NEAR(turned->dpi->u, 36, 1e-6);  // 83 px on 166 points
  EXPECT_NEAR(turned->dpi->v, 72, 1e-6);
}

TEST(ReadPdf, TakesNumbersOfAnySize) {
  const std::string data(reinterpret_cast<const char*>(slope().data), slope().total());
  const std::string huge(400, '9');  // infinite as a double
  const std::string space = "/ColorSpace/DeviceGray/BitsPerComponent ";
  const PdfPage turned{space + "8", data, 101, 83, 101, 83, 0, "", "/Rotate " + huge + ".0"};
  ASSERT_TRUE(read_picture(made_pdf({turned})).ok());
  EXPECT_EQ(apart(read_picture(made_pdf({turned}))->grey, slope()), 0);
  const PdfPage deep{space + "8000000000000", data, 101, 83, 101, 83, 0, ""};
  EXPECT_EQ(read_picture(made_pdf({deep})).failure().code, "picture-not-supported");
  const PdfPage tiny{space + "8", data, 101, 83, 1e-5, 1e-5, 0, ""};
  const auto picture = read_picture(made_pdf({tiny}));
  ASSERT_TRUE(picture.ok()) << picture.failure().text;
  EXPECT_FALSE(picture->dpi.has_value()) << picture->dpi->u;
}

TEST(ReadPdf, RefusesWhatIsNotOnePlainPicture) {
  const std::string grey = "/ColorSpace/DeviceGray/BitsPerComponent 8";
  const std::string data(reinterpret_cast<const char*>(slope().data), slope().total());
  PdfPage twice{grey, data, 101, 83, 101, 83, 0, "q 101 0 0 83 0 0 cm /Im0 Do Q"};
  EXPECT_EQ(read_picture(made_pdf({twice})).failure().code, "picture-not-supported");
  PdfPage masked{grey + "/SMask 5 0 R", data, 101, 83, 101, 83, 0, ""};
  EXPECT_EQ(read_picture(made_pdf({masked})).failure().code, "picture-not-supported");
  PdfPage rare{grey + "/Filter/JPXDecode", data, 101, 83, 101, 83, 0, ""};
  EXPECT_EQ(read_picture(made_pdf({rare})).failure().code, "picture-not-supported");
}

// A structure of 64 MB of blanks in 64 kB is refused before the library unpacks it.
TEST(ReadPdf, RefusesAStructureThatUnpacksWithoutEnd) {
  const std::string bomb = deflated(std::string(64U << 20, ' '));
  const auto file = [&](const std::string& dictionary) {
    return "%PDF-1.5\n1 0 obj\n<<" + dictionary + "/Length " + std::to_string(bomb.size()) + ">>\nstream\n" +
           bomb + "\nendstream\nendobj\n";
  };
  EXPECT_FALSE(structure_is_small(file("/Type/ObjStm/Filter/FlateDecode")));
  EXPECT_FALSE(structure_is_small(file("/Type/XRef/Filter [ /FlateDecode ]")));
  EXPECT_FALSE(structure_is_small(file("/Type/O#62jStm/Filter/FlateDecode")));
  EXPECT_FALSE(structure_is_small(file("/Type/ObjStm/Filter[/FlateDecode/FlateDecode]")));
  EXPECT_FALSE(structure_is_small(file("/Type/ObjStm/Filter 7 0 R")));
  EXPECT_TRUE(structure_is_small(file("/Type/XObject/Filter/FlateDecode")));  // bounded where it is read
}

// Two megabytes of tiny streams without an end took 20 s, each searching the rest of the file for its own.
TEST(ReadPdf, RefusesStreamsWithoutNumber) {
  const std::string one = "obj<</Type/ObjStm/Filter/FlateDecode>>stream\n" + deflated("x");
  std::string many = "%PDF-1.5\n";
  for (int i = 0; i < 1000; ++i) many += one;
  EXPECT_TRUE(structure_is_small(many));
  for (int i = 0; i < 7; ++i) many += many;
  EXPECT_FALSE(structure_is_small(many));
}

TEST(ReadPicture, TransparentPartsLieOnWhite) {
  const cv::Mat half(4, 4, CV_8UC4, cv::Scalar(0, 0, 0, 128));
  std::vector<unsigned char> bytes;
  cv::imencode(".png", half, bytes);
  const auto picture = read_picture(std::string(bytes.begin(), bytes.end()));
  ASSERT_TRUE(picture.ok());
  EXPECT_EQ(picture->grey.at<uchar>(1, 1), 127);
}

// ITU-R BT.601: 0.299, 0.587, 0.114, the same in every format.
TEST(ReadPicture, ColourBecomesGreyByOneRule) {
  const cv::Mat colours(16, 16, CV_8UC3, cv::Scalar(40, 90, 200));  // blue, green, red
  for (const char* kind : {".png", ".tiff", ".bmp", ".webp", ".ppm"}) {
    std::vector<unsigned char> bytes;
    cv::imencode(kind, colours, bytes, {cv::IMWRITE_WEBP_QUALITY, 101});
    const auto picture = read_picture(std::string(bytes.begin(), bytes.end()));
    ASSERT_TRUE(picture.ok()) << kind;
    EXPECT_EQ(picture->grey.at<uchar>(8, 8), std::lround(0.299 * 200 + 0.587 * 90 + 0.114 * 40)) << kind;
  }
}

// The fast path of scans: what OpenCV's reader gives for grey, to the code value.
TEST(ReadJpeg, IsWhatAPlainGreyDecodeGives) {
  for (const char* kind : {"jpeg-grey", "jpeg-colour", "jpeg-progressive"}) {
    const std::string bytes = made_jpeg(slope(), {300, 1}, kind);
    const cv::Mat plain =
        cv::imdecode(std::vector<unsigned char>(bytes.begin(), bytes.end()), cv::IMREAD_GRAYSCALE);
    EXPECT_EQ(apart(read_jpeg(bytes, {})->grey, plain), 0) << kind;
  }
}

}  // namespace
}  // namespace tapersight
