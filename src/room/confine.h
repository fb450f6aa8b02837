// Takes from a process what it does not need. Only for this folder.
#pragma once
#include <cstdint>
#include <memory>

namespace tapersight {

// The kernel's filter of system calls: memory, threads, reading, and the end. Everything else is refused with
// EPERM, as if the process had no right to it. It is made once and put on in every decoding process.
class CallFilter {
 public:
  CallFilter();
  ~CallFilter();
  CallFilter(const CallFilter&) = delete;
  CallFilter& operator=(const CallFilter&) = delete;
  void put_on() const;  // a kernel without filters leaves the limits below

 private:
  void* rules_;  // of libseccomp
};

// From here on the calling process gets `memory_bytes` more of memory, `cpu_seconds` of processor time, no
// file, no new descriptor, no core file.
void take_limits(std::uint64_t memory_bytes, double cpu_seconds);

}  // namespace tapersight
