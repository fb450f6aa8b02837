#include "formats/pdf_place.h"

#include <cmath>
#include <qpdf/Buffer.hh>
#include <stdexcept>
#include <string>

#include "formats/inflate.h"

namespace tapersight {
namespace {

constexpr std::size_t kMostContentBytes = 8U << 20;
constexpr int kMostDepth = 5;
constexpr std::size_t kMostPictures = 1000;

// PDF (ISO 32000-1), 8.3.3: a point is a row vector, x' = a x + c y + e.
struct Matrix {
  double a = 1, b = 0, c = 0, d = 1;  // the shift is of no interest
};

Matrix times(const Matrix& m, const Matrix& n) {  // m first
  return {m.a * n.a + m.b * n.c, m.a * n.b + m.b * n.d, m.c * n.a + m.d * n.c, m.c * n.b + m.d * n.d};
}

double number(QPDFObjectHandle value, double otherwise) {
  return value.isNumber() ? value.getNumericValue() : otherwise;
}

Matrix matrix_of(const std::vector<QPDFObjectHandle>& six) {
  if (six.size() < 6) return {};
  return {number(six[0], 1), number(six[1], 0), number(six[2], 0), number(six[3], 1)};
}

std::string unpacked(QPDFObjectHandle stream) {
  const auto raw = stream.getRawStreamData();
  const std::string bytes(reinterpret_cast<const char*>(raw->getBuffer()), raw->getSize());
  QPDFObjectHandle filter = stream.getDict().getKey("/Filter");
  if (filter.isArray() && filter.getArrayNItems() == 1) filter = filter.getArrayItem(0);
  if (filter.isNull()) return bytes;
  if (!filter.isName() || filter.getName() != "/FlateDecode") throw std::runtime_error("content's filter");
  auto content = inflate_at_most(bytes, kMostContentBytes);
  if (!content) throw std::runtime_error("content damaged or too long");
  return *content;
}

class Page : public QPDFObjectHandle::ParserCallbacks {
 public:
  explicit Page(QPDF& pdf) : pdf_(pdf) {}

  void draw(const std::string& content, QPDFObjectHandle resources, const Matrix& from, int depth) {
    total_ += content.size();
    if (depth > kMostDepth || total_ > kMostContentBytes) throw std::runtime_error("content too deep");
    Page inner(pdf_);
    inner.resources_ = resources;
    inner.now_ = from;
    inner.depth_ = depth;
    inner.total_ = total_;
    QPDFObjectHandle::parseContentStream(QPDFObjectHandle::newStream(&pdf_, content), &inner);
    total_ = inner.total_;
    for (PlacedPicture& picture : inner.pictures_) add(std::move(picture));
  }

  std::vector<PlacedPicture> take() { return std::move(pictures_); }

  void handleObject(QPDFObjectHandle object) override {
    if (!object.isOperator()) {
      if (operands_.size() < 64) operands_.push_back(object);
      return;
    }
    const std::string op = object.getOperatorValue();
    if (op == "q" && kept_.size() < 1000) kept_.push_back(now_);
    if (op == "Q" && !kept_.empty()) now_ = kept_.back(), kept_.pop_back();
    if (op == "cm") now_ = times(matrix_of(operands_), now_);
    if (op == "Do" && operands_.size() == 1 && operands_[0].isName()) show(operands_[0].getName());
    operands_.clear();
  }
  void handleEOF() override {}

 private:
  void add(PlacedPicture picture) {
    if (pictures_.size() >= kMostPictures) throw std::runtime_error("too many pictures");
    pictures_.push_back(std::move(picture));
  }

  void show(const std::string& name) {
    if (!resources_.isDictionary()) return;
    QPDFObjectHandle all = resources_.getKey("/XObject");
    QPDFObjectHandle object = all.isDictionary() ? all.getKey(name) : QPDFObjectHandle::newNull();
    if (!object.isStream()) return;
    QPDFObjectHandle kind = object.getDict().getKey("/Subtype");
    if (kind.isName() && kind.getName() == "/Image") add({object, now_.a, now_.b, now_.c, now_.d});
    if (!kind.isName() || kind.getName() != "/Form") return;
    QPDFObjectHandle own = object.getDict().getKey("/Resources");
    QPDFObjectHandle matrix = object.getDict().getKey("/Matrix");
    const Matrix form = matrix.isArray() ? matrix_of(matrix.getArrayAsVector()) : Matrix{};
    draw(unpacked(object), own.isDictionary() ? own : resources_, times(form, now_), depth_ + 1);
  }

  QPDF& pdf_;
  QPDFObjectHandle resources_;
  Matrix now_;
  std::vector<Matrix> kept_;
  std::vector<QPDFObjectHandle> operands_;
  std::vector<PlacedPicture> pictures_;
  int depth_ = 0;
  std::size_t total_ = 0;
};

// What a page may have from those above it.
QPDFObjectHandle inherited(QPDFObjectHandle page, const char* key) {
  for (int i = 0; i < 50 && page.isDictionary(); ++i) {
    QPDFObjectHandle value = page.getKey(key);
    if (!value.isNull()) return value;
    page = page.getKey("/Parent");
  }
  return QPDFObjectHandle::newNull();
}

}  // namespace

double PlacedPicture::area() const {
  return std::abs(right_x * up_y - right_y * up_x);
}

int PlacedPicture::orientation() const {
  if (std::abs(right_x) >= std::abs(right_y)) return right_x > 0 ? (up_y > 0 ? 1 : 4) : (up_y > 0 ? 2 : 3);
  return right_y > 0 ? (up_x > 0 ? 7 : 8) : (up_x > 0 ? 6 : 5);
}

std::vector<PlacedPicture> placed_pictures(QPDF& pdf, QPDFObjectHandle page) {
  const double unit = number(page.getKey("/UserUnit"), 1);
  Matrix shown{unit, 0, 0, unit};
  const double turns = std::fmod(number(inherited(page, "/Rotate"), 0) / 90, 4);  // quarters, clockwise
  const int quarters = std::isfinite(turns) ? static_cast<int>(turns + 4) % 4 : 0;
  for (int i = 0; i < quarters; ++i) shown = times(shown, {0, -1, 1, 0});
  std::string content;
  QPDFObjectHandle contents = page.getKey("/Contents");
  if (contents.isStream()) content = unpacked(contents);
  for (int i = 0; contents.isArray() && i < contents.getArrayNItems(); ++i)
    if (contents.getArrayItem(i).isStream()) {
      content += unpacked(contents.getArrayItem(i)) + "\n";
      if (content.size() > kMostContentBytes) throw std::runtime_error("content too long");
    }
  Page drawn(pdf);
  drawn.draw(content, inherited(page, "/Resources"), shown, 0);
  return drawn.take();
}

}  // namespace tapersight
