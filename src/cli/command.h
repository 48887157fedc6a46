#pragma once
// The subcommands of `bight`. Each adds itself to the application and, when it runs, prints to
// standard output, writes problems to standard error and sets the exit code.

#include <CLI/CLI.hpp>
#include <string>

namespace bight::cli {

inline constexpr int k_exit_clear = 0;      ///< no finding that stops
inline constexpr int k_exit_stop = 1;       ///< findings that stop
inline constexpr int k_exit_bad_input = 2;  ///< the input could not be used

void add_check(CLI::App& app, int& exit_code);
void add_reach(CLI::App& app, int& exit_code);
void add_hooks(CLI::App& app, int& exit_code);
void add_lengths(CLI::App& app, int& exit_code);
void add_compare(CLI::App& app, int& exit_code);
void add_suggest(CLI::App& app, int& exit_code);
void add_new(CLI::App& app, int& exit_code);
void add_keys(CLI::App& app, int& exit_code);
void add_calc(CLI::App& app, int& exit_code);
void add_picture(CLI::App& app, int& exit_code);
void add_view(CLI::App& app, int& exit_code);

/// Opens the window: on a plan, or with an empty `plan` on the start panel.
int open_window(const std::string& plan, const std::string& option, unsigned threads,
                bool debug_context);

}  // namespace bight::cli
