// By what HEIC, WebP and PDF are known: without their libraries, for who only has to tell them apart.
#include "formats/heic.h"
#include "formats/pdf.h"
#include "formats/webp.h"

namespace tapersight {

bool is_heic(const std::string& bytes) {
  if (bytes.size() < 12 || bytes.compare(4, 4, "ftyp") != 0) return false;
  const std::string brand = bytes.substr(8, 4);
  for (const char* known : {"heic", "heix", "heim", "heis", "hevc", "mif1", "msf1", "avif"})
    if (brand == known) return true;
  return false;
}

bool is_webp(const std::string& bytes) {
  return bytes.compare(0, 4, "RIFF") == 0 && bytes.size() >= 12 && bytes.compare(8, 4, "WEBP") == 0;
}

bool is_pdf(const std::string& bytes) {
  return bytes.substr(0, 1024).find("%PDF-") != std::string::npos;
}

}  // namespace tapersight
