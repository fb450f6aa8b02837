#include "cli/exit_status.h"

#include <cstdio>
#include <string>

#include "cli/terminal.h"
#include "report/text.h"

namespace tapersight {

ExitStatus status_of(const Failure& failure, ExitStatus otherwise) {
  for (const char* code : {"several-pages", "no-such-page", "picture-twice"})
    if (failure.code == code) return kWrongUsage;
  for (const char* code : {"file-too-large", "picture-damaged", "picture-too-large", "picture-not-supported",
                           "file-not-readable", "file-not-writable", "not-a-picture", "no-record",
                           "record-unreadable", "not-a-record", "record-not-written", "folder-in-use",
                           "not-a-class-result", "no-decoding-room", "out-of-memory"})
    if (failure.code == code) return kFileTrouble;
  return otherwise;
}

int report_failure(const Failure& failure, ExitStatus status) {
  std::fputs(failure_text(failure, err_terminal()).c_str(), stderr);
  return status;
}

int report_wrong_usage(const Failure& failure) {
  return report_failure(failure, status_of(failure, kWrongUsage));
}

}  // namespace tapersight
