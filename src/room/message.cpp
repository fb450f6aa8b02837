#include "room/message.h"

#include <sys/socket.h>
#include <sys/uio.h>

#include <cerrno>
#include <cstring>

namespace tapersight {
namespace {

constexpr std::size_t kDescriptorBytes = 3 * sizeof(int);

struct Envelope {
  alignas(cmsghdr) std::array<char, CMSG_SPACE(kDescriptorBytes)> control{};
  iovec body{};
  msghdr header{};

  Envelope(void* data, std::size_t bytes) {
    body = {data, bytes};
    header.msg_iov = &body;
    header.msg_iovlen = 1;
    header.msg_control = control.data();
    header.msg_controllen = control.size();
  }
};

}  // namespace

bool send_request(int socket, const Request& request, const std::array<int, 3>& descriptors) {
  Request copy = request;
  Envelope envelope(&copy, sizeof copy);
  cmsghdr* const note = CMSG_FIRSTHDR(&envelope.header);
  note->cmsg_level = SOL_SOCKET;
  note->cmsg_type = SCM_RIGHTS;
  note->cmsg_len = CMSG_LEN(kDescriptorBytes);
  std::memcpy(CMSG_DATA(note), descriptors.data(), kDescriptorBytes);
  ssize_t sent = 0;
  do sent = ::sendmsg(socket, &envelope.header, MSG_NOSIGNAL);
  while (sent < 0 && errno == EINTR);
  return sent == static_cast<ssize_t>(sizeof copy);
}

bool receive_request(int socket, Handed& handed) {
  Envelope envelope(&handed.request, sizeof handed.request);
  ssize_t got = 0;
  do got = ::recvmsg(socket, &envelope.header, MSG_CMSG_CLOEXEC);
  while (got < 0 && errno == EINTR);
  const cmsghdr* const note = CMSG_FIRSTHDR(&envelope.header);
  if (got != static_cast<ssize_t>(sizeof handed.request) || !note || note->cmsg_type != SCM_RIGHTS ||
      note->cmsg_len != CMSG_LEN(kDescriptorBytes))
    return false;
  std::memcpy(handed.descriptors.data(), CMSG_DATA(note), kDescriptorBytes);
  return true;
}

}  // namespace tapersight
