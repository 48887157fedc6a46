#pragma once
// Runs the program as a person would and returns what it printed.

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>

namespace bight::cli {

struct Output {
  int exit_code = -1;
  std::string out;
  std::string err;
};

/// `arguments` is shell text behind the program's name; `input` what a person types.
inline Output run_bight(const std::string& arguments, const std::string& input = "") {
  const std::string err_file =
      (std::filesystem::temp_directory_path() / ("bight-cli-" + std::to_string(::getpid())))
          .string();
  const std::string in_file = err_file + "-in";
  std::ofstream(in_file) << input;
  const std::string command =
      std::string("\"") + BIGHT_PROGRAM + "\" " + arguments + " 2>" + err_file + " <" + in_file;
  Output output;
  std::FILE* pipe = ::popen(command.c_str(), "r");
  if (pipe == nullptr) return output;
  std::array<char, 4096> buffer{};
  while (const std::size_t got = std::fread(buffer.data(), 1, buffer.size(), pipe)) {
    output.out.append(buffer.data(), got);
  }
  const int status = ::pclose(pipe);
  output.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  std::ifstream err(err_file);
  output.err.assign(std::istreambuf_iterator<char>(err), {});
  std::filesystem::remove(err_file);
  std::filesystem::remove(in_file);
  return output;
}

/// The same with --json; fails the test unless it is JSON and the exit code is the expected one.
inline nlohmann::json run_json(const std::string& arguments, int exit_code = 0) {
  const Output output = run_bight(arguments + " --json");
  EXPECT_EQ(output.exit_code, exit_code) << output.err;
  const auto json = nlohmann::json::parse(output.out, nullptr, false);
  EXPECT_FALSE(json.is_discarded()) << output.out;
  return json;
}

}  // namespace bight::cli
