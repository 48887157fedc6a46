#include "shape/isolated.h"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdint>
#include <cstring>
#include <exception>
#include <fstream>
#include <new>
#include <thread>

namespace bight::shape {
namespace {

enum ExitCode : int { k_done = 0, k_exception = 3, k_out_of_memory = 4, k_cannot_write = 5 };

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const { return fd_; }

 private:
  int fd_;
};

bool write_all(int fd, const std::string& text) {
  std::size_t done = 0;
  while (done < text.size()) {
    const ssize_t put = ::write(fd, text.data() + done, text.size() - done);
    if (put < 0 && errno == EINTR) continue;
    if (put <= 0) return false;
    done += static_cast<std::size_t>(put);
  }
  return true;
}

std::optional<std::string> read_all(int fd) {
  struct stat status {};
  if (::fstat(fd, &status) != 0) return std::nullopt;
  std::string text(static_cast<std::size_t>(status.st_size), '\0');
  std::size_t done = 0;
  while (done < text.size()) {
    const ssize_t got =
        ::pread(fd, text.data() + done, text.size() - done, static_cast<off_t>(done));
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return std::nullopt;
    done += static_cast<std::size_t>(got);
  }
  return text;
}

/// Private writable memory of this process in bytes, what RLIMIT_DATA counts; 0 when not known.
/// Sanitizers reserve terabytes, so the limit must be set relative to it.
std::size_t data_bytes() {
  std::ifstream file("/proc/self/status");
  std::string word;
  while (file >> word) {
    std::size_t kilobytes = 0;
    if (word == "VmData:" && file >> kilobytes) return kilobytes << 10U;
  }
  return 0;
}

void limit(int resource, std::size_t soft, std::size_t hard) {
  rlimit previous{};
  if (::getrlimit(static_cast<__rlimit_resource_t>(resource), &previous) != 0) return;
  rlimit wanted{};
  wanted.rlim_max = std::min<rlim_t>(hard, previous.rlim_max);
  wanted.rlim_cur = std::min<rlim_t>(soft, wanted.rlim_max);
  ::setrlimit(static_cast<__rlimit_resource_t>(resource), &wanted);
}

void shut_in(const IsolationLimits& limits) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  for (const int number : {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT, SIGTRAP, SIGINT, SIGTERM,
                           SIGHUP, SIGQUIT, SIGXCPU}) {
    ::signal(number, SIG_DFL);
  }
  const int nowhere = ::open("/dev/null", O_RDWR | O_CLOEXEC);
  if (nowhere >= 0) {
    for (const int standard : {0, 1, 2}) ::dup2(nowhere, standard);
  }
  limit(RLIMIT_CORE, 0, 0);
  limit(RLIMIT_CPU, limits.cpu_seconds, limits.cpu_seconds + 1);
  if (const std::size_t held = data_bytes(); held > 0) {
    limit(RLIMIT_DATA, held + limits.memory_bytes, held + limits.memory_bytes);
  }
}

int work_shut_in(const std::function<std::string()>& work, const IsolationLimits& limits, int fd) {
  std::string failure;
  int code = k_exception;
  try {
    shut_in(limits);
    return write_all(fd, work()) ? k_done : k_cannot_write;
  } catch (const std::bad_alloc&) {
    return k_out_of_memory;
  } catch (const std::exception& e) {
    failure = e.what();
  } catch (...) {
    failure = "unknown exception";
  }
  if (!write_all(fd, failure)) code = k_cannot_write;
  return code;
}

/// Waits for the child's end; kills it when the time is up. The status of waitpid, or nothing when
/// the time was up.
std::optional<int> wait_for(pid_t child, unsigned wall_seconds) {
  const auto deadline = std::chrono::steady_clock::now() + std::chrono::seconds(wall_seconds);
  std::chrono::microseconds pause(50);
  for (;;) {
    int status = 0;
    const pid_t ended = ::waitpid(child, &status, WNOHANG);
    if (ended == child) return status;
    if (ended < 0 && errno != EINTR) return W_EXITCODE(k_cannot_write, 0);
    if (std::chrono::steady_clock::now() > deadline) {
      ::kill(child, SIGKILL);
      ::waitpid(child, &status, 0);
      return std::nullopt;
    }
    std::this_thread::sleep_for(pause);
    pause = std::min(pause * 5 / 4, std::chrono::microseconds(2000));
  }
}

std::string seconds(unsigned count) {
  return "it took more than " + std::to_string(count) + " s";
}

}  // namespace

IsolatedResult run_isolated(const std::function<std::string()>& work,
                            const IsolationLimits& limits) {
  const auto no_process = [] {
    return IsolatedResult{{}, std::string("no process for it: ") + std::strerror(errno)};
  };
  const Descriptor channel(::memfd_create("bight-isolated", MFD_CLOEXEC));
  if (channel.get() < 0) return no_process();
  const pid_t child = ::fork();
  if (child < 0) return no_process();
  if (child == 0) ::_exit(work_shut_in(work, limits, channel.get()));

  const std::optional<int> status = wait_for(child, limits.wall_seconds);
  if (!status) return {{}, seconds(limits.wall_seconds)};
  if (WIFSIGNALED(*status)) {
    const int number = WTERMSIG(*status);
    if (number == SIGXCPU) return {{}, seconds(limits.cpu_seconds)};
    return {{}, std::string("it ended by a signal (") + ::strsignal(number) + ")"};
  }
  std::optional<std::string> text = read_all(channel.get());
  const int code = WEXITSTATUS(*status);
  if (code == k_done && text) return {std::move(text), {}};
  if (code == k_exception && text) return {{}, *text};
  if (code == k_out_of_memory) {
    return {{}, "it takes more than " + std::to_string(limits.memory_bytes >> 20U) + " MiB"};
  }
  return {{}, "it ended without an answer"};
}

bool isolation_stands_threads() {
#if defined(__SANITIZE_ADDRESS__)
  return false;
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
  return false;
#else
  return true;
#endif
#else
  return true;
#endif
}

}  // namespace bight::shape
