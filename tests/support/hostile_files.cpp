#include "support/hostile_files.h"

#include "support/made_files.h"

namespace tapersight::testing {
namespace {

std::string box(const std::string& kind, const std::string& body) {
  return big_endian(static_cast<unsigned>(body.size() + 8), 4) + kind + body;
}
std::string full_box(const std::string& kind, unsigned version, const std::string& body) {
  return box(kind, big_endian(version << 24, 4) + body);
}
std::string two(std::size_t number) {
  return big_endian(static_cast<unsigned>(number), 2);
}
std::string four(std::size_t number) {
  return big_endian(static_cast<unsigned>(number), 4);
}

// Numbers in TIFF's order, low byte first.
std::string tiff_entry(unsigned tag, unsigned type, unsigned count, unsigned value) {
  return little_endian(tag, 2) + little_endian(type, 2) + little_endian(count, 4) + little_endian(value, 4);
}

// With a cross-reference table; the first object is the catalogue.
std::string pdf_of(const std::vector<std::string>& objects) {
  std::string out = "%PDF-1.4\n";
  std::string table = "0000000000 65535 f \n";
  for (std::size_t i = 0; i < objects.size(); ++i) {
    const std::string place = std::to_string(out.size());
    table += std::string(10 - place.size(), '0') + place + " 00000 n \n";
    out += std::to_string(i + 1) + " 0 obj\n" + objects[i] + "\nendobj\n";
  }
  const std::string count = std::to_string(objects.size() + 1);
  const std::string start = std::to_string(out.size());
  return out + "xref\n0 " + count + "\n" + table + "trailer\n<</Size " + count +
         "/Root 1 0 R>>\nstartxref\n" + start + "\n%%EOF\n";
}
std::string reference(std::size_t object) {
  return std::to_string(object) + " 0 R";
}

}  // namespace

std::string made_heic_file(const std::vector<HeicItem>& items, unsigned main_item) {
  std::string infos, places, data, sizes, uses, references;
  for (const HeicItem& item : items) {
    infos += full_box("infe", 2, two(item.id) + two(0) + item.kind + std::string(1, '\0'));
    places += two(item.id) + two(1) + two(0) + two(1) + four(data.size()) + four(item.data.size());
    data += item.data;
    sizes += full_box("ispe", 0, four(item.width) + four(item.height));
    uses += two(item.id) + std::string(1, '\1') + static_cast<char>(&item - items.data() + 1);
    if (item.made_of.empty()) continue;
    std::string parts;
    for (const unsigned part : item.made_of) parts += two(part);
    references += box("dimg", two(item.id) + two(item.made_of.size()) + parts);
  }
  const std::string meta = full_box("hdlr", 0, four(0) + "pict" + std::string(13, '\0')) +
                           full_box("pitm", 0, two(main_item)) +
                           full_box("iinf", 0, two(items.size()) + infos) +
                           full_box("iloc", 1, std::string("\x44\0", 2) + two(items.size()) + places) +
                           box("iprp", box("ipco", sizes) + full_box("ipma", 0, four(items.size()) + uses)) +
                           full_box("iref", 0, references) + box("idat", data);
  return box("ftyp", "heic" + four(0) + "mif1heic") + full_box("meta", 0, meta);
}

std::string heic_grid(unsigned rows, unsigned columns, unsigned width, unsigned height) {
  return std::string("\0\1", 2) + static_cast<char>(rows - 1) + static_cast<char>(columns - 1) + four(width) +
         four(height);
}

std::string heic_overlay(unsigned width, unsigned height, std::size_t parts, unsigned step) {
  std::string out =
      std::string("\0\1", 2) + two(0xffff) + two(0) + two(0xffff) + two(0xffff) + four(width) + four(height);
  for (std::size_t i = 0; i < parts; ++i) out += four(i * step) + four(0);
  return out;
}

std::string deep_pdf(int depth) {
  std::vector<std::string> objects{"<</Type/Catalog/Pages 2 0 R>>"};
  for (int i = 0; i < depth; ++i)
    objects.push_back("<</Type/Pages/Count 1/Kids[" + reference(objects.size() + 2) + "]>>");
  objects.emplace_back("<</Type/Page/MediaBox[0 0 9 9]>>");
  return pdf_of(objects);
}

std::string chained_lengths_pdf(int links) {
  std::vector<std::string> objects{"<</Type/Catalog/Pages 2 0 R>>", "<</Type/Pages/Count 1/Kids[3 0 R]>>",
                                   "<</Type/Page/MediaBox[0 0 9 9]/Contents 4 0 R>>"};
  for (int i = 0; i < links; ++i)
    objects.push_back("<</Length " + reference(objects.size() + 2) + ">>\nstream\nq\nendstream");
  objects.emplace_back("2");
  return pdf_of(objects);
}

std::string one_page_often_pdf(int times) {
  std::string kids;
  for (int i = 0; i < times; ++i) kids += "3 0 R ";
  return pdf_of({"<</Type/Catalog/Pages 2 0 R>>",
                 "<</Type/Pages/Count " + std::to_string(times) + "/Kids[" + kids + "]>>",
                 "<</Type/Page/Parent 2 0 R/MediaBox[0 0 9 9]>>"});
}

// The data say a picture of another size than the directory.
std::string jbig_tiff() {
  std::string data =
      std::string("\0\0\1\0", 4) + four(4096) + four(4096) + four(8) + std::string("\x08\0\0\0", 4);
  data += std::string(1500, '\x5a');
  const unsigned at = 8;
  std::string out =
      std::string("II*\0", 4) + little_endian(at + static_cast<unsigned>(data.size()), 4) + data;
  const auto size = static_cast<unsigned>(data.size());
  return out + little_endian(9, 2) + tiff_entry(256, 3, 1, 37) + tiff_entry(257, 3, 1, 3) +
         tiff_entry(258, 3, 1, 1) + tiff_entry(259, 3, 1, 34661) + tiff_entry(262, 3, 1, 0) +
         tiff_entry(273, 4, 1, at) + tiff_entry(277, 3, 1, 1) + tiff_entry(278, 4, 1, 3) +
         tiff_entry(279, 4, 1, size) + little_endian(0, 4);
}

// One pixel wide, a row a strip, CIE L*a*b*; all strips are the same three bytes.
std::string lab_strips_tiff(unsigned strips) {
  const unsigned counts = 12 + 4 * strips;
  const unsigned bits = counts + 2 * strips;
  std::string out = std::string("II*\0", 4) + little_endian(bits + 6, 4) + std::string("\x40\0\0\0", 4);
  const std::string place = little_endian(8, 4);
  for (unsigned i = 0; i < strips; ++i) out += place;
  const std::string count = little_endian(3, 2);
  for (unsigned i = 0; i < strips; ++i) out += count;
  for (int i = 0; i < 3; ++i) out += little_endian(8, 2);
  return out + little_endian(9, 2) + tiff_entry(256, 4, 1, 1) + tiff_entry(257, 4, 1, strips) +
         tiff_entry(258, 3, 3, bits) + tiff_entry(259, 3, 1, 1) + tiff_entry(262, 3, 1, 8) +
         tiff_entry(273, 4, strips, 12) + tiff_entry(277, 3, 1, 3) + tiff_entry(278, 4, 1, 1) +
         tiff_entry(279, 3, strips, counts) + little_endian(0, 4);
}

std::string png_of_texts(int chunks) {
  const std::string text =
      png_chunk("zTXt", std::string("Comment\0\0", 9) + deflated(std::string(3900000, 'a')));
  std::string out =
      "\x89PNG\r\n\x1a\n" + png_chunk("IHDR", four(8) + four(8) + std::string("\x08\0\0\0\0", 5));
  for (int i = 0; i < chunks; ++i) out += text;
  return out + png_chunk("IDAT", deflated(std::string(72, '\0'))) + png_chunk("IEND", "");
}

// Directories that name one another again and again.
std::string jpeg_of_exif_pointers(unsigned pointers) {
  const auto directory = [&](unsigned target) {
    std::string out = little_endian(pointers, 2);
    for (unsigned i = 0; i < pointers; ++i)
      out += tiff_entry(i % 3 == 0 ? 0x8769 : i % 3 == 1 ? 0x8825 : 0xa005, 4, 1, target);
    return out + little_endian(0, 4);
  };
  const unsigned size = 2 + 12 * pointers + 4;
  std::string tiff = std::string("II*\0", 4) + little_endian(8, 4);
  for (unsigned i = 0; i < 4; ++i) tiff += directory(8 + (i + 1) % 4 * size);
  const std::string notes = std::string("Exif\0\0", 6) + tiff;
  std::string jpeg = made_jpeg(cv::Mat(16, 16, CV_8UC1, cv::Scalar(128)), {0, 1}, "jpeg-grey");
  return jpeg.insert(2, "\xff\xe1" + two(notes.size() + 2) + notes);
}

std::vector<HostileFile> hostile_files() {
  // Each overlay takes its whole canvas before it looks at its part.
  std::vector<HeicItem> large;
  for (unsigned i = 1; i < 6; ++i)
    large.push_back({i, "iovl", {i + 1}, heic_overlay(16000, 15000, 1, 0), 64, 64});
  large.push_back({6, "grid", {}, heic_grid(1, 1, 64, 64)});
  std::vector<HeicItem> doubled;
  for (unsigned i = 1; i < 40; ++i)
    doubled.push_back({i, "iovl", {i + 1, i + 1}, heic_overlay(64, 64, 2, 0)});
  doubled.push_back({40, "iovl", {}, heic_overlay(64, 64, 0, 0)});
  return {{"iden-of-itself.heic", made_heic_file({{1, "iden", {1}, ""}})},
          {"iden-ring.heic", made_heic_file({{1, "iden", {2}, ""}, {2, "iden", {1}, ""}})},
          {"grid-of-itself.heic", made_heic_file({{1, "grid", {1}, heic_grid(1, 1, 64, 64)}})},
          {"grid-ring.heic", made_heic_file({{1, "grid", {2}, heic_grid(1, 1, 64, 64)},
                                             {2, "grid", {1}, heic_grid(1, 1, 64, 64)}})},
          {"overlay-of-itself.heic", made_heic_file({{1, "iovl", {1}, heic_overlay(64, 64, 1, 0)}})},
          {"overlay-ring.heic", made_heic_file({{1, "iovl", {2}, heic_overlay(64, 64, 1, 0)},
                                                {2, "iovl", {1}, heic_overlay(64, 64, 1, 0)}})},
          {"large-overlays.heic", made_heic_file(large)},
          {"doubled-40-times.heic", made_heic_file(doubled)},
          {"deep.pdf", deep_pdf(40000)},
          {"chained-lengths.pdf", chained_lengths_pdf(30000)},
          {"one-page-often.pdf", one_page_often_pdf(1000000)},
          {"jbig.tif", jbig_tiff()},
          {"lab-strips.tif", lab_strips_tiff(700000)}};
}

}  // namespace tapersight::testing
