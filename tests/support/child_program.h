// A program that runs beside the test, to be signalled.
#pragma once
#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <string>
#include <thread>
#include <vector>

namespace tapersight::testing {

class ChildProgram {
 public:
  // Its stdout and stderr go to the two files.
  ChildProgram(const std::vector<std::string>& arguments, const std::string& out, const std::string& err) {
    pid_ = ::fork();
    if (pid_ != 0) return;
    redirect(STDOUT_FILENO, out);
    redirect(STDERR_FILENO, err);
    std::vector<char*> words;
    for (const std::string& argument : arguments) words.push_back(const_cast<char*>(argument.c_str()));
    words.push_back(nullptr);
    ::execv(words[0], words.data());
    ::_exit(127);
  }
  ChildProgram(const ChildProgram&) = delete;
  ChildProgram& operator=(const ChildProgram&) = delete;
  ~ChildProgram() {
    if (pid_ > 0) end(SIGKILL);
  }

  void send(int signal) const { ::kill(pid_, signal); }

  // Waits for the end. Exit status, or -1 when a signal ended it.
  int wait() {
    int status = 0;
    ::waitpid(pid_, &status, 0);
    pid_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  int end(int signal) {
    send(signal);
    return wait();
  }

 private:
  static void redirect(int descriptor, const std::string& path) {
    const int file = ::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0666);
    ::dup2(file, descriptor);
    ::close(file);
  }
  pid_t pid_;
};

// Until `condition` holds, for at most a minute; whether it does.
template <typename Condition>
bool wait_for(Condition condition) {
  for (int i = 0; i < 1200; ++i) {
    if (condition()) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  return false;
}

}  // namespace tapersight::testing
