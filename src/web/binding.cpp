// What the browser's worker calls. A session holds the bytes of one request and the text of its answer;
// whoever opened it closes it.
#include <cstddef>
#include <string>

#include "web/request.h"

namespace {

struct Session {
  tapersight::Blobs blobs;
  std::string request, answer;
};

}  // namespace

extern "C" {

Session* session_open() {
  return new Session;
}

void session_close(Session* session) {
  delete session;
}

// Room for the bytes of the next blob, to be filled before the request.
char* session_blob(Session* session, int bytes) {
  session->blobs.emplace_back(static_cast<std::size_t>(bytes), '\0');
  return session->blobs.back().data();
}

// The same for the request itself, UTF-8.
char* session_request(Session* session, int bytes) {
  session->request.assign(static_cast<std::size_t>(bytes), '\0');
  return session->request.data();
}

// UTF-8, ended by a zero; good until the session is closed.
const char* session_answer(Session* session) {
  session->answer = tapersight::answer_request(session->request, session->blobs);
  return session->answer.c_str();
}
}
