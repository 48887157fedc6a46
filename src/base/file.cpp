#include "base/file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace bight {
namespace {

/// Closes the descriptor at the end of its scope.
struct Descriptor {
  int fd;
  explicit Descriptor(int f) : fd(f) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (fd >= 0) ::close(fd);
  }
};

std::string failure(const char* what, const std::filesystem::path& path) {
  return std::string("cannot ") + what + " " + path.string() + ": " + std::strerror(errno);
}

}  // namespace

FileText read_file(const std::filesystem::path& path, std::size_t limit) {
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
  if (file.fd < 0) return {{}, failure("open", path)};
  struct stat status {};
  if (::fstat(file.fd, &status) != 0) return {{}, failure("read", path)};
  if (!S_ISREG(status.st_mode)) return {{}, path.string() + " is not a regular file"};
  if (static_cast<std::size_t>(status.st_size) > limit) {
    return {{},
            path.string() + " has " + std::to_string(status.st_size) + " bytes, more than the " +
                std::to_string(limit) + " that are read"};
  }
  std::string text(static_cast<std::size_t>(status.st_size), '\0');
  std::size_t have = 0;
  while (have < text.size()) {
    const ssize_t got = ::read(file.fd, text.data() + have, text.size() - have);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return {{}, failure("read", path)};
    if (got == 0) break;  // the file shrank meanwhile
    have += static_cast<std::size_t>(got);
  }
  text.resize(have);
  return {std::move(text), {}};
}

std::string save_file(const std::filesystem::path& path, const std::string& text) {
  std::string temporary = path.string() + ".XXXXXX";
  {
    const Descriptor file(::mkstemp(temporary.data()));
    if (file.fd < 0) return failure("write beside", path);
    std::size_t done = 0;
    while (done < text.size()) {
      const ssize_t put = ::write(file.fd, text.data() + done, text.size() - done);
      if (put < 0 && errno == EINTR) continue;
      if (put <= 0) {
        std::string problem = failure("write", path);
        ::unlink(temporary.c_str());
        return problem;
      }
      done += static_cast<std::size_t>(put);
    }
    struct stat previous {};
    const bool had_previous = ::stat(path.c_str(), &previous) == 0;
    const mode_t mode = had_previous ? (previous.st_mode & 07777U) : 0644U;
    if (::fchmod(file.fd, mode) != 0 || ::fsync(file.fd) != 0) {
      std::string problem = failure("write", path);
      ::unlink(temporary.c_str());
      return problem;
    }
  }
  // A hard link keeps the previous file without a moment in which `path` is missing.
  const std::string kept = path.string() + "~";
  ::unlink(kept.c_str());
  if (::link(path.c_str(), kept.c_str()) != 0 && errno != ENOENT && errno != EPERM &&
      errno != EOPNOTSUPP) {
    std::string problem = failure("keep the previous", path);
    ::unlink(temporary.c_str());
    return problem;
  }
  if (::rename(temporary.c_str(), path.c_str()) != 0) {
    std::string problem = failure("replace", path);
    ::unlink(temporary.c_str());
    return problem;
  }
  const auto folder = path.has_parent_path() ? path.parent_path() : std::filesystem::path(".");
  const Descriptor directory(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (directory.fd >= 0) ::fsync(directory.fd);  // the rename itself reaches the disk
  return {};
}

}  // namespace bight
