// Small files that make a decoder run, fill the memory or crash: each the shape of one that once did.
#pragma once
#include <string>
#include <vector>

namespace tapersight::testing {

// An item of a HEIC file (ISO/IEC 14496-12 and 23008-12): its kind, the items that it is made of, its data.
struct HeicItem {
  unsigned id = 0;
  std::string kind;  // "iden", "grid", "iovl"
  std::vector<unsigned> made_of;
  std::string data;
  unsigned width = 64, height = 64;
};
std::string made_heic_file(const std::vector<HeicItem>& items, unsigned main_item = 1);
std::string heic_grid(unsigned rows, unsigned columns, unsigned width, unsigned height);  // an item's data
std::string heic_overlay(unsigned width, unsigned height, std::size_t parts, unsigned step);  // likewise

struct HostileFile {
  std::string name, bytes;
};

// Every one is to be refused.
std::vector<HostileFile> hostile_files();

std::string deep_pdf(int depth);             // page trees within page trees
std::string chained_lengths_pdf(int links);  // a stream's length is a number in a stream whose length ...
std::string one_page_often_pdf(int times);
std::string jbig_tiff();
std::string lab_strips_tiff(unsigned strips);
std::string png_of_texts(int chunks);
std::string jpeg_of_exif_pointers(unsigned pointers);

}  // namespace tapersight::testing
