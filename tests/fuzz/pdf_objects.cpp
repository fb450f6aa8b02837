// PDF files put together object by object (ISO 32000-1, 7.3 and 7.5): the bytes choose what stands under each
// key, which object refers to which, how deep arrays lie in arrays, and how the table of objects is written.
// Bytes of nothing but zeros give a sound file of one page with one picture.
#include "fuzz/picture_target.h"
#include "support/made_files.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

constexpr int kPicture = 8;  // its side in pixels

class PdfFile {
 public:
  explicit PdfFile(Draw& draw) : draw_(draw) {}

  std::string made() {
    others_ = draw_.byte() % 16;
    add(dictionary({{"/Type", "/Catalog"}, {"/Pages", "2 0 R"}}));
    add(dictionary({{"/Type", "/Pages"}, {"/Count", "1"}, {"/Kids", "[3 0 R]"}}));
    add(dictionary({{"/Type", "/Page"},
                    {"/Parent", "2 0 R"},
                    {"/MediaBox", "[0 0 72 72]"},
                    {"/Rotate", "0"},
                    {"/Contents", "4 0 R"},
                    {"/Resources", "<</XObject<</Im0 5 0 R/Im1 6 0 R>>>>"}}));
    add(stream({}, content()));
    add(picture());
    for (int i = 0; i < others_; ++i) add(other());
    return draw_.byte() < 200 ? with_table() : with_table_in_stream();
  }

 private:
  using Entries = std::vector<std::pair<std::string, std::string>>;

  static std::string text(int number) { return std::to_string(number); }
  std::string reference() { return text(1 + draw_.byte() % (7 + others_)) + " 0 R"; }

  // Any value; arrays and dictionaries within one another, and sometimes very deep.
  std::string value(int depth = 0) {
    static const char* const kNumbers[] = {
        "0",           "1",          "-1", "8",   "16",
        "0.5",         "-0.0",       "72", "1e9", "2147483647",
        "-2147483648", "4294967296", ".",  "+-3", "999999999999999999999999"};
    static const char* const kNames[] = {"/DeviceGray",
                                         "/DeviceRGB",
                                         "/DeviceCMYK",
                                         "/Indexed",
                                         "/ICCBased",
                                         "/CalGray",
                                         "/FlateDecode",
                                         "/DCTDecode",
                                         "/CCITTFaxDecode",
                                         "/LZWDecode",
                                         "/JBIG2Decode",
                                         "/Image",
                                         "/Form",
                                         "/Page",
                                         "/Pages",
                                         "/Im0",
                                         "/#00",
                                         "/A#42",
                                         "/"};
    switch (draw_.byte() % (depth < 6 ? 12 : 6)) {
      case 0:
        return kNumbers[draw_.byte() % 15];
      case 1:
        return kNames[draw_.byte() % 19];
      case 2:
        return reference();
      case 3:
        return draw_.byte() % 2 == 0 ? "true" : "null";
      case 4:
        return "(" + repeated() + ")";
      case 5:
        return "<" + std::string(static_cast<std::size_t>(draw_.byte()), '7') + ">";
      case 6: {  // a chain of one in another, closed or not
        const auto deep = static_cast<std::size_t>(draw_.two_bytes());
        const bool dictionaries = draw_.byte() % 2 == 0;
        std::string out;
        for (std::size_t i = 0; i < deep; ++i) out += dictionaries ? "<</K" : "[";
        out += value(depth + 1);
        if (draw_.byte() < 200)
          for (std::size_t i = 0; i < deep; ++i) out += dictionaries ? ">>" : "]";
        return out;
      }
      case 7: {
        std::string same = value(depth + 1) + " ", out = "[";
        for (int i = draw_.two_bytes(); i > 0 && out.size() < (1U << 20); --i) out += same;
        return out + "]";
      }
      case 8:
      case 9: {
        std::string out = "[";
        for (int i = draw_.byte() % 8; i > 0; --i) out += value(depth + 1) + " ";
        return out + "]";
      }
      default: {
        std::string out = "<<";
        for (int i = draw_.byte() % 6; i > 0; --i) out += entry(depth + 1);
        return out + ">>";
      }
    }
  }
  std::string key() {
    static const char* const kKeys[] = {"/Kids",
                                        "/Count",
                                        "/Parent",
                                        "/Type",
                                        "/MediaBox",
                                        "/CropBox",
                                        "/Rotate",
                                        "/Contents",
                                        "/Resources",
                                        "/XObject",
                                        "/Im0",
                                        "/Im1",
                                        "/Filter",
                                        "/DecodeParms",
                                        "/Length",
                                        "/Width",
                                        "/Height",
                                        "/ColorSpace",
                                        "/BitsPerComponent",
                                        "/Decode",
                                        "/ImageMask",
                                        "/SMask",
                                        "/Predictor",
                                        "/Columns",
                                        "/Colors",
                                        "/K",
                                        "/BlackIs1",
                                        "/N",
                                        "/Subtype",
                                        "/Matrix",
                                        "/BBox",
                                        "/UserUnit",
                                        "/Prev",
                                        "/Size",
                                        "/Root",
                                        "/Encrypt",
                                        "/W",
                                        "/Index",
                                        "/First",
                                        "/Extends"};
    return kKeys[draw_.byte() % 40];
  }

  std::string entry(int depth) {
    const std::string name = key();
    return name + " " + value(depth);
  }
  std::string repeated() {
    const auto times = static_cast<std::size_t>(draw_.byte());
    return std::string(times, static_cast<char>(draw_.byte()));
  }

  // As told; a byte an entry may leave it out, put another value there, or add one.
  std::string dictionary(const Entries& entries) {
    std::string out = "<<";
    for (const auto& [name, plain] : entries) {
      const int odd = draw_.byte();
      if (odd >= 250) continue;
      out += name + " " + (odd < 220 ? plain : value());
    }
    for (int more = draw_.byte(); more > 220; more -= 12) out += entry(0);
    return out + ">>";
  }

  std::string stream(Entries entries, const std::string& data) {
    entries.emplace_back("/Length", text(static_cast<int>(data.size())));
    const std::string head = dictionary(entries);
    return head + "\nstream\n" + data + (draw_.byte() < 250 ? "\nendstream" : "");
  }

  std::string content() {
    static const char* const kWords[] = {"q ",
                                         "Q ",
                                         "/Im0 Do ",
                                         "/Im1 Do ",
                                         "1 0 0 1 9 9 cm ",
                                         "0 0 0 0 0 0 cm ",
                                         "0 1 -1 0 72 0 cm ",
                                         "1e30 0 0 1e30 0 0 cm ",
                                         "BT ET ",
                                         "0 0 9 9 re f ",
                                         "BI /W 8 /H 8 /BPC 8 /CS /G ID 12345678 EI ",
                                         "/GS gs ",
                                         "[ ",
                                         "<< "};
    std::string out = "q 72 0 0 72 0 0 cm /Im0 Do Q ";
    for (int more = draw_.byte() % 8; more > 0; --more) {
      const std::string word = draw_.byte() < 220 ? kWords[draw_.byte() % 14] : value() + " ";
      for (int times = draw_.byte() < 240 ? 1 : draw_.two_bytes(); times > 0 && out.size() < (1U << 20);
           --times)
        out += word;
    }
    return out;
  }

  // Packed, plain, as JPEG, or as whatever comes.
  std::string picture() {
    const cv::Mat grey(kPicture, kPicture, CV_8UC1, cv::Scalar(150));
    const std::string rows(kPicture * kPicture, '\x96');
    Entries entries{{"/Type", "/XObject"},       {"/Subtype", "/Image"},         {"/Width", text(kPicture)},
                    {"/Height", text(kPicture)}, {"/ColorSpace", "/DeviceGray"}, {"/BitsPerComponent", "8"}};
    switch (draw_.byte() % 5) {
      case 0:
        return stream(entries, rows);
      case 1:
        entries.emplace_back("/Filter", "/FlateDecode");
        return stream(entries, deflated(rows));
      case 2:
        entries.emplace_back("/Filter", "/DCTDecode");
        return stream(entries, made_jpeg(grey, {0, 1}, "jpeg-grey"));
      case 3:
        entries.emplace_back("/Filter", "[/FlateDecode/DCTDecode]");
        return stream(entries, deflated(made_jpeg(grey, {0, 1}, "jpeg-grey")));
      default:
        entries.emplace_back("/Filter", "/CCITTFaxDecode");
        entries.emplace_back("/DecodeParms", "<</K -1/Columns 8/Rows 8>>");
        return stream(entries, rows);
    }
  }

  std::string other() {
    switch (draw_.byte() % 6) {
      case 0:
        return value();
      case 1:
        return dictionary({{"/Type", "/Pages"}, {"/Count", "1"}, {"/Kids", "[" + reference() + "]"}});
      case 2: {
        const std::string drawn = content();
        return stream({{"/Type", "/XObject"},
                       {"/Subtype", "/Form"},
                       {"/BBox", "[0 0 9 9]"},
                       {"/Resources", "<</XObject<</Im0 " + reference() + ">>>>"}},
                      drawn);
      }
      case 3: {  // objects in a stream
        const std::string inside = value();
        const std::string index = "20 0 ";
        return stream({{"/Type", "/ObjStm"},
                       {"/N", "1"},
                       {"/First", text(static_cast<int>(index.size()))},
                       {"/Filter", "/FlateDecode"}},
                      deflated(index + inside));
      }
      case 4:
        return "<</Length " + reference() + ">>\nstream\nq\nendstream";
      default:
        return picture();
    }
  }

  void add(const std::string& object) {
    places_.push_back(out_.size());
    out_ += std::to_string(places_.size()) + " 0 obj\n" + object + (draw_.byte() < 252 ? "\nendobj\n" : "\n");
  }

  std::size_t place(std::size_t i) {
    return draw_.byte() < 250 ? places_[i] : static_cast<std::size_t>(draw_.two_bytes());
  }

  std::string with_table() {
    const std::size_t table = out_.size();
    const std::string count = std::to_string(places_.size() + 1);
    out_ += "xref\n0 " + count + "\n0000000000 65535 f \n";
    for (std::size_t i = 0; i < places_.size(); ++i) {
      const std::string number = std::to_string(place(i));
      out_ += std::string(10 - number.size(), '0') + number + " 00000 n \n";
    }
    return out_ + "trailer\n" + dictionary({{"/Size", count}, {"/Root", "1 0 R"}}) + "\nstartxref\n" +
           std::to_string(table) + "\n%%EOF\n";
  }

  std::string with_table_in_stream() {
    const std::size_t table = out_.size();
    std::string rows = std::string("\0\0\0\0\0", 5);
    for (std::size_t i = 0; i < places_.size(); ++i) {
      rows += static_cast<char>(draw_.byte() < 230 ? 1 : draw_.byte() % 4);
      rows += big_endian(static_cast<unsigned>(place(i)), 3) + '\0';
    }
    rows += '\1' + big_endian(static_cast<unsigned>(table), 3) + '\0';
    const std::string count = std::to_string(places_.size() + 2);
    add(stream({{"/Type", "/XRef"},
                {"/Size", count},
                {"/Root", "1 0 R"},
                {"/W", "[1 3 1]"},
                {"/Filter", "/FlateDecode"}},
               deflated(rows)));
    return out_ + "startxref\n" + std::to_string(table) + "\n%%EOF\n";
  }

  Draw& draw_;
  int others_ = 0;
  std::string out_ = "%PDF-1.5\n";
  std::vector<std::size_t> places_;
};

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Draw draw(data, size);
  ReadOptions options = small_read_options();
  if (const int page = draw.byte(); page > 200) options.page = page - 200;
  const std::string file = PdfFile(draw).made();
  keep_if_asked(file);
  const auto picture = read_picture(file, options);
  if (size == 0) require(picture.ok(), "the plain file is to be read");
  read_soundly(picture, options);
  return 0;
}
