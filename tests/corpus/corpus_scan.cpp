#include "corpus/corpus_scan.h"

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>

#include "base/files.h"
#include "support/temp_dir.h"
#include "synth/render_scan.h"

namespace tapersight::testing {
namespace {

void send_to(int descriptor, const std::string& path) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0666);
  ::dup2(file, descriptor);
  ::close(file);
}

}  // namespace

const CorpusScan& corpus_scan() {
  static const CorpusScan scan = [] {
    ScanScene scene;
    scene.seed = 11;
    scene.dpi = kScanDpi;
    scene.window_sheet_mm = fiducial_bounds(sheet_layout(scene.paper));
    StripScene& strip = scene.strips.front();
    strip.taper = 0.002;
    strip.length_mm = 200;
    strip.left.roughness_um = strip.right.roughness_um = 5;
    const RenderedScan rendered = render_scan(scene);
    return CorpusScan{rendered.image, rendered.truth.strips.front()};
  }();
  return scan;
}

TakenRun run_and_take(const std::vector<std::string>& arguments,
                      const std::vector<std::string>& environment) {
  const TempDir dir;
  const pid_t child = ::fork();
  if (child == 0) {
    send_to(STDOUT_FILENO, dir.file("out"));
    send_to(STDERR_FILENO, dir.file("err"));
    for (const std::string& setting : environment) ::putenv(const_cast<char*>(setting.c_str()));
    std::vector<char*> words{const_cast<char*>(TAPERSIGHT_PROGRAM)};
    for (const std::string& argument : arguments) words.push_back(const_cast<char*>(argument.c_str()));
    words.push_back(nullptr);
    ::execv(words[0], words.data());
    ::_exit(127);
  }
  TakenRun run;
  int ended = 0;
  struct rusage taken {};
  ::wait4(child, &ended, 0, &taken);
  if (WIFEXITED(ended)) run.status = WEXITSTATUS(ended);
  run.out = read_file(dir.file("out")).value();
  run.err = read_file(dir.file("err")).value();
  run.peak_mb = static_cast<double>(taken.ru_maxrss) / 1024;
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  run.cpu_s = seconds(taken.ru_utime) + seconds(taken.ru_stime);
  return run;
}

}  // namespace tapersight::testing
