// The scenes of testimages/: the school shop's sleds by bench number, and what must be refused.
#pragma once
#include <string>
#include <vector>

#include "synth/photo_scene.h"
#include "synth/scan_scene.h"

namespace tapersight {

struct TestImage {
  std::string folder;   // below testimages/
  std::string name;     // of the file, without ending
  std::string shows;    // one line for people
  std::string refusal;  // the code of the failure that it must bring; empty: it must be measured
  ScanScene scene;
  int jpeg_quality = 90;
};

std::vector<TestImage> all_testimages();

// In photos/, with their quality and orientation in the scene.
struct TestPhoto {
  std::string name, shows;
  std::string refusal;  // as above
  PhotoScene scene;
};

std::vector<TestPhoto> all_testphotos();

}  // namespace tapersight
