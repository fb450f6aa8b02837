// Prints tests/messages/messages.txt.
#include <cstdio>

#include "messages/list_messages.h"

int main() {
  std::fputs(tapersight::testing::list_messages(TAPERSIGHT_SOURCE).c_str(), stdout);
}
