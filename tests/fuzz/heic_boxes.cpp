// HEIC files put together box by box (ISO/IEC 14496-12 and 23008-12): the bytes choose the items, what each
// is made of, their properties, and where a box lies about its size. The picture in it is a real one, coded
// once. Bytes of nothing but zeros give a sound file.
#include "fuzz/picture_target.h"
#include "support/hostile_files.h"
#include "support/made_files.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

std::string two(unsigned number) {
  return big_endian(number, 2);
}
std::string four(unsigned number) {
  return big_endian(number, 4);
}

unsigned number_at(const std::string& bytes, std::size_t at) {
  unsigned number = 0;
  for (std::size_t i = at; i < at + 4; ++i) number = number << 8 | static_cast<unsigned char>(bytes[i]);
  return number;
}

// The decoder's configuration (a whole box) and the coded picture, as the encoder wrote them.
struct Coded {
  std::string configuration, picture;
};

// The picture's pieces, each behind its length in four bytes; behind them stand the camera's notes, whose
// first four bytes are next to nothing.
std::string pieces_at(const std::string& file, std::size_t from) {
  constexpr unsigned kLeast = 8;
  std::size_t at = from;
  while (at + 4 <= file.size() && number_at(file, at) >= kLeast &&
         number_at(file, at) <= file.size() - at - 4)
    at += 4 + number_at(file, at);
  return file.substr(from, at - from);
}

const Coded& coded() {
  static const Coded parts = [] {
    const std::string file = made_kind("heic").make(cv::Mat(64, 64, CV_8UC1, cv::Scalar(160)), {0, 1});
    const std::size_t configuration = file.find("hvcC") - 4;
    return Coded{file.substr(configuration, number_at(file, configuration)),
                 pieces_at(file, file.find("mdat") + 4)};
  }();
  return parts;
}

class HeicFile {
 public:
  explicit HeicFile(Draw& draw) : draw_(draw) {}

  std::string made() {
    const unsigned count = 1 + (draw_.byte() % 64 < 48 ? draw_.byte() % 8 : draw_.byte());
    for (unsigned i = 0; i < count; ++i) items_.push_back(item(i + 1, count));
    // One after the other, or two compilers would make two files of the same bytes.
    const std::string properties = box("ipco", properties_of_all());
    const std::string places = places_of_all();
    std::string meta = full_box("hdlr", 0, four(0) + "pict" + std::string(13, '\0'));
    meta += full_box("pitm", 0, two(1 + static_cast<unsigned>(draw_.byte()) % count));
    const std::string all_infos = infos();
    meta += full_box("iinf", 0, two(odd_count(count)) + all_infos);
    meta += full_box("iloc", iloc_version_, places);
    const std::string associations = full_box("ipma", 0, four(odd_count(count)) + uses());
    meta += box("iprp", properties + associations);
    meta += references();
    meta += box("idat", inside_);
    std::string file = box("ftyp", (draw_.byte() < 250 ? "heic" : "avif") + four(0) + "mif1heic");
    file += full_box("meta", 0, meta);
    return file + box("mdat", coded().picture);
  }

 private:
  struct Item {
    std::string kind, data;
    std::vector<unsigned> made_of;
    std::string how_used;  // the kind of reference
    unsigned width = 64, height = 64;
    bool coded = false;
  };

  // Mostly what it says; else its size is nought, in eight bytes, wrong, or its body is there twice.
  std::string box(const std::string& kind, const std::string& body) {
    const auto size = static_cast<unsigned>(body.size() + 8);
    const int lie = draw_.byte();
    if (lie < 246) return four(size) + kind + body;
    switch (lie) {
      case 246:
        return four(0) + kind + body;
      case 247:
        return four(1) + kind + four(0) + four(size + 8) + body;
      case 248:
        return four(1) + kind + four(0x7fffffff) + four(0xffffffff) + body;
      case 249:
        return four(size + static_cast<unsigned>(draw_.byte())) + kind + body;
      case 250:
        return four(size - static_cast<unsigned>(draw_.byte())) + kind + body;
      case 251:
        return four(0xfffffff0) + kind + body;
      case 252:
        return four(size) + kind + body + four(size) + kind + body;
      case 253:
        return four(size + static_cast<unsigned>(body.size())) + kind + body + body;
      case 254:
        return four(size + 8) + kind + box(kind, body);
      default:
        return {};
    }
  }
  std::string full_box(const std::string& kind, unsigned version, const std::string& body) {
    const int odd = draw_.byte();
    return box(kind, four((odd < 250 ? version : static_cast<unsigned>(odd % 4)) << 24) + body);
  }

  unsigned odd_count(unsigned count) {
    const int odd = draw_.byte();
    return odd < 250 ? count : odd == 255 ? 0xffffU : count + static_cast<unsigned>(odd) - 252;
  }
  unsigned side() {
    static constexpr unsigned kSides[] = {64,   0,    1,     63,    65,         128,       255,
                                          1024, 4096, 16384, 65535, 0x7fffffff, 0xffffffff};
    const int which = draw_.byte();
    return which < 200 ? 64 : kSides[which % 13];
  }

  Item item(unsigned id, unsigned count) {
    static const char* const kKinds[] = {"hvc1", "grid", "iovl", "iden", "hvc1",
                                         "Exif", "mime", "av01", "tmap"};
    Item made;
    made.kind = kKinds[draw_.byte() % 9];
    made.coded = made.kind == "hvc1";
    made.width = side(), made.height = side();
    static const char* const kUses[] = {"dimg", "dimg", "dimg", "thmb", "auxl", "cdsc", "prem"};
    made.how_used = kUses[draw_.byte() % 7];
    const int parts = made.coded                ? draw_.byte() / 128
                      : draw_.byte() % 64 == 63 ? draw_.byte() * 16
                                                : 1 + draw_.byte() % 4;
    const unsigned first = static_cast<unsigned>(draw_.byte()),
                   step = static_cast<unsigned>(draw_.byte() % 4);
    for (int i = 0; i < parts; ++i)  // from the next on, so that zeros give no ring
      made.made_of.push_back(1 + (id + first + step * static_cast<unsigned>(i)) % (count + (first == 255)));
    if (made.kind == "grid") {
      const auto rows = static_cast<unsigned>(1 + draw_.byte()),
                 columns = static_cast<unsigned>(1 + draw_.byte());
      made.data = heic_grid(rows, columns, made.width, made.height);
      if (draw_.byte() > 200) made.data[1] = static_cast<char>(draw_.byte());
    }
    if (made.kind == "iovl")
      made.data =
          heic_overlay(made.width, made.height, made.made_of.size(), static_cast<unsigned>(draw_.byte()));
    if (made.kind == "Exif") made.data = four(static_cast<unsigned>(draw_.byte() % 8)) + exif_block({300, 6});
    if (const int cut = draw_.byte(); cut > 240)
      made.data.resize(made.data.size() * static_cast<std::size_t>(cut - 240) / 16);
    return made;
  }

  std::string infos() {
    std::string all;
    for (std::size_t i = 0; i < items_.size(); ++i)
      all += full_box("infe", 2,
                      two(static_cast<unsigned>(i) + 1) + two(0) + items_[i].kind + std::string(1, '\0'));
    return all;
  }

  // Each has its size, what its decoder needs, and up to three of turn, mirror, crop, or another.
  std::string properties_of_all() {
    std::string all;
    const auto add = [&](std::vector<unsigned>& own, const std::string& property) {
      all += property;
      own.push_back(++properties_);
    };
    for (const Item& item : items_) {
      std::vector<unsigned> own;
      add(own, full_box("ispe", 0, four(item.width) + four(item.height)));
      if (item.coded) {
        std::string configuration = coded().configuration;
        if (const int odd = draw_.byte(); odd > 230)
          configuration[8 + static_cast<std::size_t>(draw_.byte()) % (configuration.size() - 8)] =
              static_cast<char>(odd);
        add(own, configuration);
      }
      for (int more = draw_.byte() % 4; more > 0; --more) add(own, property());
      if (draw_.byte() > 245) own.push_back(static_cast<unsigned>(draw_.byte()) % 128);
      own_.push_back(own);
    }
    return all;
  }
  std::string property() {
    const auto odd = static_cast<char>(draw_.byte());
    switch (draw_.byte() % 7) {
      case 0:
        return box("irot", std::string(1, odd));
      case 1:
        return box("imir", std::string(1, odd));
      case 2: {
        std::string clap;
        for (int i = 0; i < 8; ++i) clap += four(i % 2 == 1 ? 1 : side());
        return box("clap", clap);
      }
      case 3:
        return full_box("pixi", 0, std::string("\3\x8\x8\x8", 4));
      case 4:
        return box("colr",
                   "nclx" + two(1) + two(13) + two(static_cast<unsigned char>(odd)) + std::string(1, odd));
      case 5:
        return box("colr", "prof" + std::string(static_cast<std::size_t>(draw_.byte()), odd));
      default:
        return full_box("auxC", 0, std::string("urn:mpeg:mpegB:cicp:systems:auxiliary:alpha\0", 44));
    }
  }

  std::string uses() {
    std::string all;
    for (std::size_t i = 0; i < items_.size(); ++i) {
      all += two(static_cast<unsigned>(i) + 1) + static_cast<char>(own_[i].size());
      for (const unsigned property : own_[i]) all += static_cast<char>(property);
    }
    return all;
  }

  // Coded pictures lie in the file behind everything, the rest within the description (construction method
  // 1), or in another item (2).
  std::string places_of_all() {
    const bool old = draw_.byte() > 240;
    iloc_version_ = old ? 0 : 1;
    std::string all = std::string("\x44\0", 2) + two(odd_count(static_cast<unsigned>(items_.size())));
    for (std::size_t i = 0; i < items_.size(); ++i) {
      const Item& item = items_[i];
      const std::string data = item.coded ? coded().picture : item.data;
      const int odd = draw_.byte();
      const unsigned method = odd < 250 ? 1 : static_cast<unsigned>(odd % 4);
      const unsigned extents = odd == 249 ? static_cast<unsigned>(draw_.two_bytes()) : 1;
      all += two(static_cast<unsigned>(i) + 1) + (old ? std::string() : two(method)) + two(0) + two(extents);
      const unsigned shift = draw_.byte() < 250 ? 0 : static_cast<unsigned>(draw_.two_bytes());
      for (unsigned e = 0; e < std::min(extents, 64U); ++e)
        all += four(static_cast<unsigned>(inside_.size()) + shift) +
               four(draw_.byte() < 250 ? static_cast<unsigned>(data.size()) : 0xffffffffU);
      inside_ += data;
    }
    return all;
  }

  std::string references() {
    std::string all;
    for (std::size_t i = 0; i < items_.size(); ++i) {
      if (items_[i].made_of.empty()) continue;
      std::string parts;
      for (const unsigned part : items_[i].made_of) parts += two(part);
      all += box(items_[i].how_used, two(static_cast<unsigned>(i) + 1) +
                                         two(odd_count(static_cast<unsigned>(items_[i].made_of.size()))) +
                                         parts);
    }
    return full_box("iref", 0, all);
  }

  Draw& draw_;
  std::vector<Item> items_;
  std::vector<std::vector<unsigned>> own_;
  unsigned properties_ = 0, iloc_version_ = 1;
  std::string inside_;
};

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Draw draw(data, size);
  const std::string file = HeicFile(draw).made();
  keep_if_asked(file);
  const ReadOptions options = small_read_options();
  const auto picture = read_picture(file, options);
  if (size == 0) require(picture.ok(), "the plain file is to be read");
  read_soundly(picture, options);
  return 0;
}
