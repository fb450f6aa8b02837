#include "cli/run.h"

int main(int argc, char** argv) {
  return tapersight::run_program(argc, argv);
}
