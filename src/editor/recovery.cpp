#include "editor/recovery.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <optional>
#include <string_view>
#include <utility>

#include "base/file.h"
#include "base/number.h"
#include "base/tolerance.h"

namespace bight::editor {
namespace {

constexpr const char* k_magic = "bight recovery 1\n";
constexpr const char* k_text_extension = ".plan";
constexpr const char* k_lock_extension = ".lock";

/// FNV-1a, 64 bits (Fowler, Noll, Vo): tells a file that was cut short from a whole one.
std::uint64_t checksum(std::string_view text) {
  std::uint64_t hash = 14695981039346656037ULL;
  for (const char c : text) {
    hash ^= static_cast<unsigned char>(c);
    hash *= 1099511628211ULL;
  }
  return hash;
}

std::string field(std::string_view text) {
  return std::to_string(text.size()) + "\n" + std::string(text);
}

std::optional<std::string> take_field(std::string_view& rest) {
  const std::size_t end = rest.find('\n');
  if (end == std::string_view::npos) return {};
  const auto size = parse_number(rest.substr(0, end));
  rest.remove_prefix(end + 1);
  if (!size || *size < 0.0 || *size > static_cast<double>(rest.size())) return {};
  const auto count = static_cast<std::size_t>(*size);
  std::string text(rest.substr(0, count));
  rest.remove_prefix(count);
  return text;
}

std::string to_bytes(const RecoveryText& recovery) {
  const std::string body =
      field(recovery.plan_file) + field(recovery.on_disk) + field(recovery.text);
  return k_magic + std::to_string(checksum(body)) + "\n" + body;
}

std::optional<RecoveryText> from_bytes(std::string_view bytes) {
  const std::string_view magic = k_magic;
  if (bytes.substr(0, magic.size()) != magic) return {};
  bytes.remove_prefix(magic.size());
  const std::size_t end = bytes.find('\n');
  if (end == std::string_view::npos) return {};
  const std::string sum(bytes.substr(0, end));
  bytes.remove_prefix(end + 1);
  if (sum != std::to_string(checksum(bytes))) return {};
  auto plan_file = take_field(bytes);
  auto on_disk = take_field(bytes);
  auto text = take_field(bytes);
  if (!plan_file || !on_disk || !text) return {};
  return RecoveryText{std::move(*plan_file), std::move(*on_disk), std::move(*text)};
}

/// True when some process holds the lock.
bool is_held(const std::filesystem::path& lock) {
  const int fd = ::open(lock.c_str(), O_RDWR | O_CLOEXEC);
  if (fd < 0) return false;
  const bool held = ::flock(fd, LOCK_EX | LOCK_NB) != 0;
  ::close(fd);
  return held;
}

std::string write_whole(const std::filesystem::path& path, const std::string& bytes) {
  const std::string temporary = path.string() + "~";
  const int fd = ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
  const auto failure = [&] {
    return "cannot keep a recovery file " + path.string() + ": " + std::strerror(errno);
  };
  if (fd < 0) return failure();
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t put = ::write(fd, bytes.data() + done, bytes.size() - done);
    if (put < 0 && errno == EINTR) continue;
    if (put <= 0) {
      std::string problem = failure();
      ::close(fd);
      return problem;
    }
    done += static_cast<std::size_t>(put);
  }
  ::close(fd);
  return ::rename(temporary.c_str(), path.c_str()) == 0 ? std::string() : failure();
}

}  // namespace

struct Recovery::Held {
  std::filesystem::path folder;
  std::filesystem::path text;
  std::filesystem::path lock;
  int fd = -1;

  /// A name that no other editor holds.
  std::string hold() {
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error) return "cannot make " + folder.string() + ": " + error.message();
    constexpr int k_names = 1000;
    for (int i = 0; i < k_names; ++i) {
      const std::string stem = std::to_string(::getpid()) + "-" + std::to_string(i);
      const auto candidate = folder / (stem + k_lock_extension);
      if (std::filesystem::exists(folder / (stem + k_text_extension), error)) continue;
      fd = ::open(candidate.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
      if (fd < 0) return "cannot write in " + folder.string() + ": " + std::strerror(errno);
      if (::flock(fd, LOCK_EX | LOCK_NB) == 0) {
        text = folder / (stem + k_text_extension);
        lock = candidate;
        return {};
      }
      ::close(fd);
      fd = -1;
    }
    return "there are too many recovery files in " + folder.string();
  }
};

Recovery::Recovery(std::filesystem::path folder)
    : held_(std::make_unique<Held>(Held{std::move(folder), {}, {}, -1})) {}

Recovery::~Recovery() {
  if (!held_) return;
  forget();
  if (held_->fd < 0) return;
  std::error_code error;
  std::filesystem::remove(held_->lock, error);
  ::close(held_->fd);
}

Recovery::Recovery(Recovery&&) noexcept = default;
Recovery& Recovery::operator=(Recovery&&) noexcept = default;

std::string Recovery::keep(const RecoveryText& recovery) {
  if (held_->folder.empty()) return {};
  if (held_->fd < 0) {
    if (std::string problem = held_->hold(); !problem.empty()) return problem;
  }
  return write_whole(held_->text, to_bytes(recovery));
}

void Recovery::forget() {
  if (held_->text.empty()) return;
  std::error_code error;
  std::filesystem::remove(held_->text, error);
}

std::vector<LeftBehind> Recovery::left_behind() const {
  std::vector<LeftBehind> found;
  if (held_->folder.empty()) return found;
  std::error_code error;
  for (std::filesystem::directory_iterator it(held_->folder, error), end; !error && it != end;
       it.increment(error)) {
    const std::filesystem::path& path = it->path();
    if (path.extension() != k_text_extension || path == held_->text) continue;
    auto lock = path;
    if (is_held(lock.replace_extension(k_lock_extension))) continue;
    // Two texts, each at most as long as a plan, and a head.
    const FileText file = read_file(path, 3 * k_plan_bytes_limit);
    if (!file.text) continue;
    auto recovery = from_bytes(*file.text);
    if (!recovery) continue;
    const auto age = std::filesystem::file_time_type::clock::now() - it->last_write_time(error);
    found.push_back({path, std::move(*recovery), std::chrono::duration<double>(age).count()});
  }
  std::sort(found.begin(), found.end(),
            [](const LeftBehind& a, const LeftBehind& b) { return a.file < b.file; });
  return found;
}

void Recovery::discard(const std::filesystem::path& file) {
  if (held_->folder.empty() || file.parent_path() != held_->folder) return;
  std::error_code error;
  auto lock = file;
  std::filesystem::remove(file, error);
  std::filesystem::remove(lock.replace_extension(k_lock_extension), error);
}

}  // namespace bight::editor
