#include "room/confine.h"

#include <malloc.h>
#include <sched.h>
#include <seccomp.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cerrno>
#include <cmath>
#include <cstdio>
#include <initializer_list>

namespace tapersight {
namespace {

// A sanitizer keeps shadows of terabytes and reads files of its own: its builds test the readers, not this.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool kSanitized = true;
#else
constexpr bool kSanitized = false;
#endif

void set_limit(__rlimit_resource which, rlim_t most) {
  const rlimit limit{most, most};
  ::setrlimit(which, &limit);
}

// The address space that is taken already.
rlim_t taken_bytes() {
  unsigned long pages = 0;
  if (std::FILE* const statm = std::fopen("/proc/self/statm", "re")) {
    if (std::fscanf(statm, "%lu", &pages) != 1) pages = 0;
    std::fclose(statm);
  }
  return static_cast<rlim_t>(pages) * static_cast<rlim_t>(::sysconf(_SC_PAGESIZE));
}

}  // namespace

CallFilter::CallFilter() : rules_(nullptr) {
  if (kSanitized) return;
  rules_ = seccomp_init(SCMP_ACT_ERRNO(EPERM));
  if (!rules_) return;
  const auto allow = [this](int call) { seccomp_rule_add(rules_, SCMP_ACT_ALLOW, call, 0); };
  for (const int call : {SCMP_SYS(read),
                         SCMP_SYS(pread64),
                         SCMP_SYS(close),
                         SCMP_SYS(brk),
                         SCMP_SYS(munmap),
                         SCMP_SYS(mremap),
                         SCMP_SYS(madvise),
                         SCMP_SYS(futex),
                         SCMP_SYS(sched_yield),
                         SCMP_SYS(sched_getaffinity),
                         SCMP_SYS(set_robust_list),
                         SCMP_SYS(rseq),
                         SCMP_SYS(gettid),
                         SCMP_SYS(getpid),
                         SCMP_SYS(getrandom),
                         SCMP_SYS(clock_gettime),
                         SCMP_SYS(rt_sigprocmask),
                         SCMP_SYS(rt_sigreturn),
                         SCMP_SYS(exit),
                         SCMP_SYS(exit_group)})
    allow(call);
  // Memory, but none that can be run.
  for (const int call : {SCMP_SYS(mmap), SCMP_SYS(mprotect)})
    seccomp_rule_add(rules_, SCMP_ACT_ALLOW, call, 1, SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
  // Threads, which the HEVC decoder wants, but no processes. The newer call keeps its flags where no filter
  // sees them: the C library goes back to the older one.
  seccomp_rule_add(rules_, SCMP_ACT_ERRNO(ENOSYS), SCMP_SYS(clone3), 0);
  seccomp_rule_add(rules_, SCMP_ACT_ALLOW, SCMP_SYS(clone), 1,
                   SCMP_A0(SCMP_CMP_MASKED_EQ, CLONE_THREAD, CLONE_THREAD));
}

CallFilter::~CallFilter() {
  if (rules_) seccomp_release(rules_);
}

void CallFilter::put_on() const {
  ::prctl(PR_SET_DUMPABLE, 0);
  ::prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0);
  if (rules_) seccomp_load(rules_);
}

void take_limits(std::uint64_t memory_bytes, double cpu_seconds) {
  // One arena for all threads: each of their own would reserve 64 MB of the address space.
  ::mallopt(M_ARENA_MAX, 1);
  // What the decoder's threads and the C library themselves take, none of it of the picture's.
  constexpr rlim_t kOwn = 24U << 20;
  if (!kSanitized) set_limit(RLIMIT_AS, taken_bytes() + kOwn + memory_bytes);
  set_limit(RLIMIT_CPU, static_cast<rlim_t>(std::ceil(cpu_seconds)) + 1);
  set_limit(RLIMIT_STACK, 8U << 20);
  set_limit(RLIMIT_CORE, 0);
  if (kSanitized) return;
  set_limit(RLIMIT_FSIZE, 0);
  set_limit(RLIMIT_NOFILE, 0);
}

}  // namespace tapersight
