// The commands there are.
#pragma once

#include "cli/json.hpp"
#include "cli/options.hpp"
#include "cli/resources.hpp"

#include <chrono>
#include <span>

namespace phasewright::film {
struct Watch;
}

namespace phasewright::cli {

// Exit codes that scripts rely on.
inline constexpr int exit_done = 0;
inline constexpr int exit_out_of_limits = 1; // the answer is "not safe" or "out of limits"
inline constexpr int exit_unusable = 2;      // the input cannot be used
inline constexpr int exit_cancelled = 130;   // by Ctrl+C, as shells have it; there is no answer then

struct Answer {
  std::string page; // for a person
  Json json;        // for a script
  int exit_code = exit_done;
};

struct Context {
  Options options;
  Opened opened; // of the command lesson, nothing
  Resources resources;
  std::chrono::steady_clock::time_point started; // when the program began
  const film::Watch* watch = nullptr;            // who watches work that takes long; null = the terminal, and Ctrl+C
};

struct Command {
  const char* name;
  const char* summary; // what it does, one line
  const char* detail;  // for its help: what the answer means; lines ended
  const char* example; // a command line and what it gives
  std::vector<Takes> takes;
  Result<Answer> (*run)(const Context& context);
};

[[nodiscard]] std::span<const Command> commands();
[[nodiscard]] const Command* find_command(const std::string& name);

[[nodiscard]] Result<Answer> pose_command(const Context& context);
[[nodiscard]] Result<Answer> chain_command(const Context& context);
[[nodiscard]] Result<Answer> phase_command(const Context& context);
[[nodiscard]] Result<Answer> events_command(const Context& context);
[[nodiscard]] Result<Answer> clearance_command(const Context& context);
[[nodiscard]] Result<Answer> plan_command(const Context& context);
[[nodiscard]] Result<Answer> align_command(const Context& context);
[[nodiscard]] Result<Answer> end_float_command(const Context& context);
[[nodiscard]] Result<Answer> key_command(const Context& context);
[[nodiscard]] Result<Answer> degree_command(const Context& context);
[[nodiscard]] Result<Answer> explain_command(const Context& context);
[[nodiscard]] Result<Answer> drill_command(const Context& context);
[[nodiscard]] Result<Answer> fit_command(const Context& context);
[[nodiscard]] Result<Answer> keep_command(const Context& context);
[[nodiscard]] Result<Answer> export_command(const Context& context);
[[nodiscard]] Result<Answer> lesson_command(const Context& context);
#ifdef PHASEWRIGHT_PAPER
[[nodiscard]] Result<Answer> wheel_command(const Context& context);
[[nodiscard]] Result<Answer> key_card_command(const Context& context);
[[nodiscard]] Result<Answer> sheet_command(const Context& context);
#endif
#ifdef PHASEWRIGHT_VIEWER
[[nodiscard]] Result<Answer> picture_command(const Context& context);
[[nodiscard]] Result<Answer> film_command(const Context& context);
[[nodiscard]] Result<Answer> view_command(const Context& context);
#endif

} // namespace phasewright::cli
